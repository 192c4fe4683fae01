// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/lamp_search.h"

#include "core/measure/blob.h"
#include "core/measure/step_map.h"
#include "core/trace/noise.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>

namespace twinlamp::measure {

using onset::CoarseEdge;

namespace {

// Blocks looked at closely: those that switch most, those that switch most sharply, and of every
// patch that stands apart those that switch most: a red lamp is dark to luma.
constexpr std::size_t closeLooks = 350;
constexpr std::size_t looksAPatch = 6;
constexpr std::size_t mostPatches = 40;
constexpr double leastRange = 0.015;
constexpr double leastRangeNoises = 10.0;
constexpr std::size_t noiseFrames = 400;
// An answer comes later than this many frames: a reflection of the lamp may come a frame later
// where the camera reads its rows one after the other …
constexpr double leastDelayFrames = 1.5;
// … but a slow camera sees a quick link so, and then nothing else answers.
constexpr double leastQuickDelayFrames = 0.75;
// … and within this many: 150 ms at 1000 frames a second, 0.6 s at 240, which a second check
// narrows.
constexpr std::size_t mostDelayFrames = 160;
constexpr double followShare = 0.6;
// A lamp's levels scatter by far less than its step, even in flickering room light.
constexpr double mostLampScatter = 0.2;

struct Candidate
{
    std::size_t block = 0;
    double range = 0.0;
    double sharpness = 0.0;
    double scatter = 1.0; ///< within its levels, share of its step
    std::vector<CoarseEdge> edges;
};

struct Following
{
    double share = 0.0; ///< of the leader's edges that the follower repeats
    double delay = 0.0; ///< median, frames
    double spread = 0.0; ///< mean absolute deviation of the delays but for the farthest, frames
};

// The blocks that switch most of each patch of blocks that hang together, the strongest patches
// first.
std::vector<Candidate> mostOfEachPatch(const BlockMap& map, std::vector<Candidate> all)
{
    std::vector<float> ranges(map.blockCount(), 0.0F);
    for (const Candidate& candidate : all) {
        ranges[candidate.block] = static_cast<float>(candidate.range);
    }
    std::ranges::sort(all, std::greater {}, &Candidate::range);
    constexpr auto none = static_cast<std::size_t>(-1);
    std::vector<std::size_t> patchOf(map.blockCount(), none);
    std::vector<std::size_t> looks;
    std::vector<Candidate> most;
    for (const Candidate& candidate : all) {
        if (patchOf[candidate.block] == none) {
            const Blob patch
                = blobAround(ranges, map.columns, candidate.block, static_cast<float>(leastRange));
            for (const std::size_t cell : patch.cells) {
                patchOf[cell] = looks.size();
            }
            looks.push_back(0);
        }
        const std::size_t patch = patchOf[candidate.block];
        if (patch < mostPatches && looks[patch] < looksAPatch) {
            most.push_back(candidate);
            ++looks[patch];
        }
    }
    return most;
}

// Slow panels need a while for a whole step, and a lag as long as theirs merges quick presses: what
// finds more edges of about the same step is right.
onset::EdgeSearch findBlockEdges(std::span<const float> light)
{
    constexpr std::size_t slowLag = 12;
    constexpr std::size_t quickLag = 4;
    constexpr double aboutTheSame = 0.7;
    onset::EdgeSearch slow = onset::findEdges(light, slowLag);
    onset::EdgeSearch quick = onset::findEdges(light, quickLag);
    const bool isQuick = quick.edges.size() > slow.edges.size()
        && quick.stepHeight >= aboutTheSame * slow.stepHeight;
    return isQuick ? quick : slow;
}

std::vector<Candidate> candidates(const BlockMap& map)
{
    std::vector<Candidate> all;
    for (std::size_t b = 0; b < map.blockCount(); ++b) {
        const auto light = map.block(b);
        const auto [low, high] = std::ranges::minmax(light);
        const double range = static_cast<double>(high) - static_cast<double>(low);
        if (range < leastRange
            || range < leastRangeNoises
                    * trace::frameNoise(light.first(std::min(noiseFrames, light.size())))) {
            continue;
        }
        double sharpness = 0.0;
        for (std::size_t k = 2; k < light.size(); ++k) {
            sharpness = std::max(sharpness,
                std::abs(static_cast<double>(light[k]) - static_cast<double>(light[k - 2])));
        }
        all.push_back({b, range, sharpness, 1.0, {}});
    }
    std::vector<Candidate> chosen;
    std::set<std::size_t> taken;
    const auto take = [&](auto key) {
        std::ranges::sort(all, std::greater {}, key);
        for (std::size_t i = 0; i < std::min(closeLooks, all.size()); ++i) {
            if (taken.insert(all[i].block).second) {
                chosen.push_back(all[i]);
            }
        }
    };
    take(&Candidate::range);
    take(&Candidate::sharpness);
    for (const Candidate& candidate : mostOfEachPatch(map, all)) {
        if (taken.insert(candidate.block).second) {
            chosen.push_back(candidate);
        }
    }
    for (Candidate& candidate : chosen) {
        const onset::EdgeSearch search = findBlockEdges(map.block(candidate.block));
        candidate.edges = search.edges;
        candidate.scatter
            = search.edges.empty() ? 1.0 : levelScatter(map.block(candidate.block), search);
    }
    std::erase_if(chosen, [](const Candidate& c) { return c.edges.size() < 2; });
    return chosen;
}

// A few answers may be late or belong to another press; the rest tells how steady the delay is.
double spreadOf(const std::vector<double>& delays)
{
    constexpr std::size_t oneAside = 8;
    const double middle = trace::medianOf(delays);
    std::vector<double> away;
    away.reserve(delays.size());
    for (const double each : delays) {
        away.push_back(std::abs(each - middle));
    }
    std::ranges::sort(away);
    away.resize(away.size() - away.size() / oneAside);
    return away.empty() ? 0.0
                        : std::reduce(away.begin(), away.end()) / static_cast<double>(away.size());
}

Following following(const std::vector<CoarseEdge>& leader, const std::vector<CoarseEdge>& follower)
{
    std::vector<double> delays;
    for (std::size_t i = 0; i < leader.size(); ++i) {
        const CoarseEdge& edge = leader[i];
        // What switches in the same frame is the lamp's own light: were it left out here, its next
        // press would pass for the answer.
        auto answer = std::ranges::lower_bound(follower, edge.frame, {}, &CoarseEdge::frame);
        answer = std::ranges::find(answer, follower.end(), edge.edge, &CoarseEdge::edge);
        // An edge that the follower missed must not shift all others by a press: what comes after
        // the leader's next edge of the kind belongs to that one.
        const std::size_t latest = std::min(edge.frame + mostDelayFrames,
            i + 2 < leader.size() ? leader[i + 2].frame : edge.frame + mostDelayFrames);
        if (answer != follower.end() && answer->frame <= latest) {
            delays.push_back(static_cast<double>(answer->frame - edge.frame));
        }
    }
    const double longer = static_cast<double>(std::max(leader.size(), follower.size()));
    return {static_cast<double>(delays.size()) / longer, trace::medianOf(delays), spreadOf(delays)};
}

// Whether a pairing is the likelier one of two: presses made by hand are less steady than a link;
// where both are alike, the shorter delay counts.
bool isLikelier(const Following& a, const Following& b)
{
    // Of 1.25 with the roundings added to the spreads and this: 186 and 190 of 200 random scenes
    // located right, 120 to 480 frames a second, a quarter with presses of 26 to 44 ms.
    constexpr double clearly = 1.2;
    constexpr double rounding = 0.35; // of two edges to whole frames
    const double spreadA = std::hypot(a.spread, rounding);
    const double spreadB = std::hypot(b.spread, rounding);
    if (clearly * spreadA < spreadB || clearly * spreadB < spreadA) {
        return spreadA < spreadB;
    }
    return a.delay <= b.delay;
}

// An answer keeps about the same delay; what comes after anything from nought to a whole press is
// none.
bool isSteady(const Following& f) { return f.spread <= 0.3 * f.delay + 1.5; }

// Whether one block's edges repeat another's later. In a series of presses each also repeats the
// other's next press: the likelier pairing tells which one leads.
std::optional<Following> followsLeader(const std::vector<CoarseEdge>& leader,
    const std::vector<CoarseEdge>& follower, double leastDelay)
{
    const Following there = following(leader, follower);
    if (there.share < followShare || there.delay < leastDelay || !isSteady(there)) {
        return std::nullopt;
    }
    const Following back = following(follower, leader);
    if (back.share >= followShare && isLikelier(back, there)) {
        return std::nullopt;
    }
    return there;
}

// A faint block's edges are uncertain: it cannot tell a lamp that it comes too late.
constexpr double leastLeadingRange = 0.08;

struct Leader
{
    std::size_t candidate = 0;
    std::size_t followers = 0;
    double firstEdge = 0.0; ///< mean frame of its edges against the others', for ties
};

// The block that most others follow; among nearly equal ones, the one that leads the others.
std::optional<std::size_t> findLeader(const std::vector<Candidate>& blocks, double leastDelay)
{
    // Judging every pair is quadratic; a spread of blocks stands for all as followers.
    constexpr std::size_t judged = 160;
    const std::size_t stride = std::max<std::size_t>(1, blocks.size() / judged);
    std::vector<Leader> leaders;
    std::size_t most = 0;
    for (std::size_t i = 0; i < blocks.size(); ++i) {
        if (blocks[i].scatter > mostLampScatter) {
            continue;
        }
        std::size_t count = 0;
        for (std::size_t j = 0; j < blocks.size(); j += stride) {
            count
                += i != j && followsLeader(blocks[i].edges, blocks[j].edges, leastDelay) ? 1U : 0U;
        }
        leaders.push_back({i, count, 0.0});
        most = std::max(most, count);
    }
    if (most == 0) {
        return std::nullopt;
    }
    std::erase_if(leaders, [&](const Leader& leader) { return 2 * leader.followers < most; });
    // Nobody that has followers of its own leads the leader.
    std::optional<std::size_t> best;
    for (const Leader& leader : leaders) {
        const bool isLed = std::ranges::any_of(leaders, [&](const Leader& other) {
            return other.candidate != leader.candidate
                && blocks[other.candidate].range
                >= leastLeadingRange * blocks[leader.candidate].range
                && followsLeader(
                    blocks[other.candidate].edges, blocks[leader.candidate].edges, leastDelay)
                       .has_value();
        });
        if (!isLed && (!best || blocks[leader.candidate].range > blocks[*best].range)) {
            best = leader.candidate;
        }
    }
    return best;
}

// The follower with the largest step: the goggle lamp itself, or a part of the panel near it.
std::optional<std::size_t> brightestFollower(
    const std::vector<Candidate>& blocks, const std::vector<CoarseEdge>& leader, double leastDelay)
{
    std::optional<std::size_t> best;
    for (std::size_t i = 0; i < blocks.size(); ++i) {
        if (followsLeader(leader, blocks[i].edges, leastDelay)
            && (!best || blocks[i].range > blocks[*best].range)) {
            best = i;
        }
    }
    return best;
}

// What leads and what follows it best.
struct Pair
{
    Candidate lamp;
    Candidate goggle;
    Following following;
};

std::optional<Pair> findPair(const std::vector<Candidate>& blocks)
{
    for (const double leastDelay : {leastDelayFrames, leastQuickDelayFrames}) {
        const auto leader = findLeader(blocks, leastDelay);
        const auto goggle
            = leader ? brightestFollower(blocks, blocks[*leader].edges, leastDelay) : std::nullopt;
        if (goggle) {
            return Pair {blocks[*leader], blocks[*goggle],
                following(blocks[*leader].edges, blocks[*goggle].edges)};
        }
    }
    return std::nullopt;
}

// Mean step of every block right after the lamp's own edges, when the panel has not answered yet.
std::vector<float> lampStepMap(const BlockMap& map, const Pair& pair)
{
    const auto delay = static_cast<std::ptrdiff_t>(pair.following.delay);
    const std::ptrdiff_t hold = std::max<std::ptrdiff_t>(1, holdFrames(pair.lamp.edges) / 3);
    const auto soon = std::min(std::clamp<std::ptrdiff_t>(delay / 2, 1, 4), hold);
    return stepMap(map, pair.lamp.edges, 1, soon);
}

// Mean step of every block at the answers, without what is the lamp's own light.
std::vector<float> goggleStepMap(
    const BlockMap& map, const Pair& pair, const std::vector<float>& lampSteps)
{
    const auto delay = static_cast<std::ptrdiff_t>(pair.following.delay);
    const std::ptrdiff_t hold = std::max<std::ptrdiff_t>(4, holdFrames(pair.goggle.edges));
    const auto away = std::min(std::clamp<std::ptrdiff_t>(delay / 2, 2, 16), hold / 4);
    std::vector<float> steps
        = stepMap(map, pair.goggle.edges, away, std::min<std::ptrdiff_t>(6, hold / 3));
    // Where presses are quick, the lamp's next edge may come before the answer: what switches right
    // with the lamp is its own light. Where there is time, the mean delay tells it better.
    const std::ptrdiff_t latest = delay + 6;
    if (latest > hold / 2) {
        for (std::size_t b = 0; b < steps.size(); ++b) {
            steps[b] = lampSteps[b] > 0.3F * steps[b] ? 0.0F : steps[b];
        }
        return steps;
    }
    const std::vector<float> delays = delayMap(map, pair.lamp.edges, latest);
    const float halfway = 0.5F * (delays[pair.lamp.block] + delays[pair.goggle.block]);
    for (std::size_t b = 0; b < steps.size(); ++b) {
        steps[b] = delays[b] < halfway ? 0.0F : steps[b];
    }
    return steps;
}

struct PanelFound
{
    std::optional<RectPx> box;
    double confidence = 0.0;
};

// Everything around the goggle lamp that takes part in the step.
PanelFound panelAround(
    const std::vector<float>& steps, int columns, std::size_t lamp, const Blob& lampBlob)
{
    std::vector<double> lit;
    const double floor = 0.03 * static_cast<double>(steps[lamp]);
    for (const float step : steps) {
        if (static_cast<double>(step) > floor) {
            lit.push_back(static_cast<double>(step));
        }
    }
    const auto threshold = static_cast<float>(std::max(0.35 * trace::medianOf(lit), floor));
    const Blob blob = blobAround(steps, columns, lamp, threshold);
    const RectPx box = solidBox(blob, columns, 0.3);
    PanelFound found;
    if (box.areaPx() < 3 * lampBlob.box.areaPx() || box.isEmpty()) {
        return found;
    }
    found.box = box;
    found.confidence = std::clamp(
        static_cast<double>(blob.cells.size()) / static_cast<double>(box.areaPx()), 0.0, 1.0);
    return found;
}

} // namespace

std::optional<LampBlocks> searchLamps(const BlockMap& map)
{
    const std::vector<Candidate> blocks = candidates(map);
    const auto pair = findPair(blocks);
    if (!pair) {
        return std::nullopt;
    }
    LampBlocks found;
    found.referenceEdges = pair->lamp.edges;
    found.goggleEdges = pair->goggle.edges;

    const std::vector<float> lampSteps = lampStepMap(map, *pair);
    const std::size_t lampPeak = pair->lamp.block;
    const Blob lampBlob = blobAround(lampSteps, map.columns, lampPeak, 0.4F * lampSteps[lampPeak]);
    found.reference = toPixels(map, lampBlob.box);
    found.referenceConfidence
        = pair->following.share * (0.5 + 0.5 * isolation(lampSteps, lampBlob));

    const std::vector<float> goggleSteps = goggleStepMap(map, *pair, lampSteps);
    const std::size_t gogglePeak = highestBlock(goggleSteps);
    std::vector<double> spill;
    for (const float step : goggleSteps) {
        if (step > 0.05F * goggleSteps[gogglePeak]) {
            spill.push_back(static_cast<double>(step));
        }
    }
    const auto peak = static_cast<double>(goggleSteps[gogglePeak]);
    const auto between
        = static_cast<float>(0.5 * (std::min(trace::medianOf(spill), 0.7 * peak) + peak));
    const Blob goggleBlob = blobAround(goggleSteps, map.columns, gogglePeak, between);
    found.goggle = toPixels(map, goggleBlob.box);
    found.goggleConfidence
        = pair->following.share * (0.5 + 0.5 * isolation(goggleSteps, goggleBlob));
    const PanelFound panel = panelAround(goggleSteps, map.columns, gogglePeak, goggleBlob);
    if (panel.box) {
        found.panel = toPixels(map, *panel.box);
        found.panelConfidence = panel.confidence;
    }
    return found;
}

} // namespace twinlamp::measure

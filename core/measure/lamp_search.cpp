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
// An answer comes later than this many frames (else it is the lamp itself or its reflection) …
constexpr double leastDelayFrames = 1.5;
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
    double spread = 0.0; ///< median absolute deviation of the delays, frames
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
    // Slow panels need a while for a whole step; a longer lag would merge quick presses.
    constexpr std::size_t lag = 12;
    for (Candidate& candidate : chosen) {
        const onset::EdgeSearch search = onset::findEdges(map.block(candidate.block), lag);
        candidate.edges = search.edges;
        candidate.scatter
            = search.edges.empty() ? 1.0 : levelScatter(map.block(candidate.block), search);
    }
    std::erase_if(chosen, [](const Candidate& c) { return c.edges.size() < 2; });
    return chosen;
}

Following following(const std::vector<CoarseEdge>& leader, const std::vector<CoarseEdge>& follower)
{
    std::vector<double> delays;
    for (std::size_t i = 0; i < leader.size(); ++i) {
        const CoarseEdge& edge = leader[i];
        auto answer = std::ranges::upper_bound(follower, edge.frame, {}, &CoarseEdge::frame);
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
    const double delay = trace::medianOf(delays);
    std::vector<double> away;
    away.reserve(delays.size());
    for (const double each : delays) {
        away.push_back(std::abs(each - delay));
    }
    return {static_cast<double>(delays.size()) / longer, delay, trace::medianOf(away)};
}

// Whether a pairing is the likelier one of two: presses made by hand are less steady than a link;
// where both are alike, the shorter delay counts.
bool isLikelier(const Following& a, const Following& b)
{
    constexpr double clearly = 1.6;
    constexpr double rounding = 0.7; // of a frame
    const double spreadA = a.spread + rounding;
    const double spreadB = b.spread + rounding;
    if (clearly * spreadA < spreadB || clearly * spreadB < spreadA) {
        return spreadA < spreadB;
    }
    return a.delay <= b.delay;
}

bool follows(const Following& f) { return f.share >= followShare && f.delay >= leastDelayFrames; }

// Whether one block's edges repeat another's later. In a series of presses each also repeats the
// other's next press: the likelier pairing tells which one leads.
std::optional<Following> followsLeader(
    const std::vector<CoarseEdge>& leader, const std::vector<CoarseEdge>& follower)
{
    const Following there = following(leader, follower);
    if (!follows(there)) {
        return std::nullopt;
    }
    const Following back = following(follower, leader);
    if (follows(back) && isLikelier(back, there)) {
        return std::nullopt;
    }
    return there;
}

struct Leader
{
    std::size_t candidate = 0;
    std::size_t followers = 0;
    double firstEdge = 0.0; ///< mean frame of its edges against the others', for ties
};

// The block that most others follow; among nearly equal ones, the one that leads the others.
std::optional<std::size_t> findLeader(const std::vector<Candidate>& blocks)
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
            count += i != j && followsLeader(blocks[i].edges, blocks[j].edges) ? 1U : 0U;
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
                && followsLeader(blocks[other.candidate].edges, blocks[leader.candidate].edges)
                       .has_value();
        });
        if (!isLed && (!best || blocks[leader.candidate].range > blocks[*best].range)) {
            best = leader.candidate;
        }
    }
    return best;
}

struct GoggleFound
{
    std::vector<CoarseEdge> edges;
    Following following;
};

// Edges of the follower with the largest step: the goggle lamp itself, or a part of the panel near
// it.
std::optional<GoggleFound> brightestFollower(
    const std::vector<Candidate>& blocks, const std::vector<CoarseEdge>& leader)
{
    const Candidate* best = nullptr;
    Following bestFollowing;
    for (const Candidate& block : blocks) {
        const auto f = followsLeader(leader, block.edges);
        if (f && (best == nullptr || block.range > best->range)) {
            best = &block;
            bestFollowing = *f;
        }
    }
    return best == nullptr ? std::nullopt
                           : std::optional<GoggleFound>({best->edges, bestFollowing});
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
    const auto leader = findLeader(blocks);
    if (!leader) {
        return std::nullopt;
    }
    LampBlocks found;
    found.referenceEdges = blocks[*leader].edges;
    const auto goggle = brightestFollower(blocks, found.referenceEdges);
    if (!goggle) {
        return std::nullopt;
    }
    found.goggleEdges = goggle->edges;

    // Right after the lamp's own edge the panel has not answered yet.
    const auto soon = std::clamp<std::ptrdiff_t>(
        static_cast<std::ptrdiff_t>(goggle->following.delay) / 2, 1, 4);
    const std::vector<float> lampSteps = stepMap(map, found.referenceEdges, 1, soon);
    const std::size_t lampPeak = highestBlock(lampSteps);
    const Blob lampBlob = blobAround(lampSteps, map.columns, lampPeak, 0.4F * lampSteps[lampPeak]);
    found.reference = toPixels(map, lampBlob.box);
    found.referenceConfidence
        = goggle->following.share * (0.5 + 0.5 * isolation(lampSteps, lampBlob));

    // Between the lamp's edge and the answer nothing of the panel changes: what does, is the lamp's
    // own light.
    const auto away = std::clamp<std::ptrdiff_t>(
        static_cast<std::ptrdiff_t>(goggle->following.delay) / 2, 2, 16);
    std::vector<float> goggleSteps = stepMap(map, found.goggleEdges, away, 6);
    for (std::size_t b = 0; b < goggleSteps.size(); ++b) {
        if (lampSteps[b] > 0.3F * goggleSteps[b]) {
            goggleSteps[b] = 0.0F;
        }
    }
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
        = goggle->following.share * (0.5 + 0.5 * isolation(goggleSteps, goggleBlob));
    const PanelFound panel = panelAround(goggleSteps, map.columns, gogglePeak, goggleBlob);
    if (panel.box) {
        found.panel = toPixels(map, *panel.box);
        found.panelConfidence = panel.confidence;
    }
    return found;
}

} // namespace twinlamp::measure

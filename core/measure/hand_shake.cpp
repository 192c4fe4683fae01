// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/hand_shake.h"

#include "core/footage/frame_source.h"

#include <algorithm>
#include <cmath>
#include <spdlog/spdlog.h>

namespace twinlamp::measure {

using footage::ClipIndex;
using Follower = std::shared_ptr<const trace::ShiftFinder>;

namespace {

constexpr std::int64_t mostProbes = 12;
// With fewer keyframes than this the clip's beginning is looked at as well, at the price of
// decoding it: an eighth of the clip at most, and no more frames than this.
constexpr std::int64_t enoughKeyframes = 6;
constexpr std::int64_t beginning = 240;
// Less does not show in any figure (a lamp region has a margin), and codecs alone make up to 0.42
// px of it between keyframes (the sample clips on a tripod).
constexpr double leastShakePx = 1.0;
constexpr double sureOverError = 4.0;
// A hand leaves the first picture's place for good; where few pictures seem to have moved they are
// mistaken (a dark bench, a coarse codec).
constexpr double leastMovedShare = 0.5;
constexpr int fewestMoved = 2;

std::vector<FrameIndex> probeFrames(const ClipIndex& index)
{
    std::vector<FrameIndex> frames;
    const auto further = static_cast<std::int64_t>(index.keyframes.size()) - 1;
    if (further < enoughKeyframes) {
        const std::int64_t last = std::min(index.frameCount() / 8, beginning);
        const std::int64_t count = std::min(mostProbes / 2, last);
        for (std::int64_t i = 1; i <= count; ++i) {
            frames.push_back({last * i / count});
        }
    }
    const std::int64_t count = std::min(mostProbes, further);
    for (std::int64_t i = 1; i <= count; ++i) {
        frames.push_back(index.keyframes[static_cast<std::size_t>(further * i / count)]);
    }
    return frames;
}

Follower makeFollower(footage::FrameSource& source, const RegionRequest& regions)
{
    const auto first = source.frame({0});
    if (!first) {
        return nullptr;
    }
    std::vector<RectPx> lamps;
    for (const auto& lamp : {regions.reference, regions.goggle}) {
        if (lamp) {
            lamps.push_back(*lamp);
        }
    }
    return std::make_shared<const trace::ShiftFinder>(first->view(), lamps, regions.panel);
}

struct Probe
{
    std::size_t asked = 0;
    std::size_t recognised = 0;
    int moved = 0;
    double farthestPx = 0.0;
};

std::optional<trace::FoundShift> shiftOf(
    footage::FrameSource& source, const trace::ShiftFinder& follower, FrameIndex k)
{
    const auto frame = source.frame(k);
    return frame ? follower.find(frame->view()) : std::nullopt;
}

std::optional<Probe> probe(
    footage::FrameSource& source, const trace::ShiftFinder& follower, const JobControl& control)
{
    Probe probed;
    for (const FrameIndex k : probeFrames(source.index())) {
        if (control.stopRequested()) {
            return std::nullopt;
        }
        ++probed.asked;
        const auto found = shiftOf(source, follower, k);
        if (!found) {
            continue;
        }
        ++probed.recognised;
        const double distance = std::hypot(found->shift.x, found->shift.y);
        probed.farthestPx = std::max(probed.farthestPx, distance);
        if (distance > std::max(leastShakePx, sureOverError * found->standardErrorPx)) {
            ++probed.moved;
        }
    }
    return probed;
}

trace::ShiftPx meanShift(footage::FrameSource& source, const trace::ShiftFinder& follower,
    const std::vector<FrameIndex>& frames)
{
    trace::ShiftPx sum;
    int count = 0;
    for (const FrameIndex k : frames) {
        if (const auto found = shiftOf(source, follower, k)) {
            sum.x += found->shift.x;
            sum.y += found->shift.y;
            ++count;
        }
    }
    return count == 0 ? sum : trace::ShiftPx {sum.x / count, sum.y / count};
}

} // namespace

JobResult<HandShake> findHandShake(const ClipIndex& index, const RegionRequest& regions,
    const std::vector<FrameIndex>& askedFor, const JobControl& control)
{
    auto source = footage::FrameSource::open(std::make_shared<const ClipIndex>(index), {});
    if (!source) {
        return source.error();
    }
    const Follower follower = makeFollower(*source, regions);
    if (!follower) {
        return HandShake {};
    }
    const auto probed = probe(*source, *follower, control);
    if (!probed) {
        return Cancelled {};
    }
    spdlog::debug("{}: of {} pictures {} recognised, {} moved, the farthest by {:.2f} px",
        index.info.file, probed->asked, probed->recognised, probed->moved, probed->farthestPx);
    const bool isReliable = 4 * probed->recognised >= 3 * probed->asked;
    const bool hasMoved = probed->moved >= fewestMoved
        && probed->moved >= leastMovedShare * static_cast<double>(probed->recognised);
    if (!hasMoved || !isReliable) {
        return HandShake {};
    }
    return HandShake {follower, meanShift(*source, *follower, askedFor)};
}

} // namespace twinlamp::measure

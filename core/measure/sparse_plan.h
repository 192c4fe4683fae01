// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/frame_range.h"

#include <span>
#include <vector>

/// Which frames of a clip a sparse scan has to decode: a pure function of what it has seen so far,
/// so that neither threads nor chance have a say.
namespace twinlamp::measure {

/// What has been seen of a clip. Spans are of the whole clip, shape N.
struct SeenSoFar
{
    std::span<const FrameIndex> keyframes; ///< ascending, the first is 0
    std::span<const double> startMs; ///< real time
    std::span<const float> reference; ///< light; NaN where not decoded
    std::span<const float> goggle;
    std::span<const char> decoded; ///< shape N; not bits: threads write it side by side
};

/// Part of a lamp's step that is no change: half of it is one.
constexpr double unchangedShare = 0.2;

/// What must not stay undecoded.
struct SparseNeeds
{
    /// Two decoded frames are never further apart, unless all between them are decoded: shorter
    /// than the shortest hold.
    double longestGapMs = 0.0;
    /// Change of light that is none: where the ends of a gap differ by more, it is decoded.
    double referenceTolerance = 0.0;
    double goggleTolerance = 0.0;
    std::size_t framesBefore = 0; ///< of each switching
    std::size_t framesAfterReference = 0; ///< the switching's own frame included
    double afterGoggleMs = 0.0;
    double searchMs = 0.0; ///< without an answer, this long after the lamp
    double answerLagMs = 0.0; ///< time in which the goggle's answer is complete
    std::vector<FrameRange> windows; ///< frames that something has been found to rest on
};

/// What to decode next, in order, each range in one GOP or over several; every range starts where
/// decoding can start or where a decoded frame precedes it in its GOP. Empty: nothing is missing
/// within these frames.
/// @param within  starts at a keyframe and ends at one or at the clip's end
[[nodiscard]] std::vector<FrameRange> nextRanges(
    const SeenSoFar& seen, const SparseNeeds& needs, FrameRange within);

/// All frames that are not decoded, each range with what precedes it as above.
[[nodiscard]] std::vector<FrameRange> undecodedRanges(std::span<const char> decoded);

} // namespace twinlamp::measure

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"
#include "core/footage/frame_index.h"

#include <vector>

namespace twinlamp::footage {

/// Real time of the frames of one clip: the only way from the file's clock to time that can be
/// subtracted.
///
/// Frame k starts its exposure at (k + frames lost before it) / capture rate. Time stamps that
/// wobble by less than half a frame are a uniform clock; a jump of the stamps of 1.5 frame
/// intervals or more that stays is lost frames (a coarse time base makes single steps look long:
/// the jump is judged against the running clock, not the step).
class CaptureClock
{
public:
    /// @pre captureRate.isPositive() and the index has a frame.
    CaptureClock(const ClipIndex& index, FrameRate captureRate);

    /// Start of the exposure of frame k (first stored row). Rounded once, to the nearest ns. @pre k
    /// in the clip
    [[nodiscard]] RealTime toReal(FrameIndex k) const;
    /// Frame whose interval [toReal(k), toReal(k + 1)) holds t, clamped to the clip.
    [[nodiscard]] FrameIndex frameAt(RealTime t) const;

    [[nodiscard]] FrameRate captureRate() const { return m_captureRate; }

    [[nodiscard]] std::int64_t lostFrames() const;
    /// Frames lost between k - 1 and k.
    [[nodiscard]] std::int64_t lostBefore(FrameIndex k) const;

    /// Frames that follow a gap, ascending.
    [[nodiscard]] const std::vector<FrameIndex>& framesAfterGaps() const { return m_afterGaps; }

private:
    [[nodiscard]] std::int64_t lostUpTo(FrameIndex k) const;

    FrameRate m_captureRate;
    std::int64_t m_frameCount = 0;
    std::vector<FrameIndex> m_afterGaps;
    std::vector<std::int64_t> m_lostUpTo; ///< running total, same shape as m_afterGaps
};

/// Frames per second of the file's own clock, lost frames left out: the robust slope of its stamps.
[[nodiscard]] double playRateHz(const ClipIndex& index);

/// The stamps follow no uniform clock, so that only the frames' numbers tell their times.
[[nodiscard]] bool hasUnevenStamps(const ClipIndex& index);

} // namespace twinlamp::footage

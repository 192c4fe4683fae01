// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/capture_clock.h"

#include "core/base/contracts.h"
#include "core/footage/stamp_clock.h"

#include <algorithm>

namespace twinlamp::footage {

namespace {

__extension__ using WideInteger = __int128; // products of frames, ns and rates exceed 64 bits

StampReading reading(const ClipIndex& index, std::optional<FrameRate> captureRate)
{
    std::vector<std::int64_t> stamps(index.entries.size());
    std::ranges::transform(index.entries, stamps.begin(), &FrameEntry::ptsTicks);
    return readStamps(stamps, {index.info.timeBaseNum, index.info.timeBaseDen}, captureRate);
}

} // namespace

CaptureClock::CaptureClock(const ClipIndex& index, FrameRate captureRate)
    : m_captureRate(captureRate)
    , m_frameCount(index.frameCount())
{
    TL_EXPECTS(captureRate.isPositive());
    TL_EXPECTS(index.frameCount() > 0);
    std::int64_t total = 0;
    for (const StampGap& gap : reading(index, captureRate).gaps) {
        total += gap.lost;
        m_afterGaps.push_back(gap.after);
        m_lostUpTo.push_back(total);
    }
}

std::int64_t CaptureClock::lostFrames() const { return m_lostUpTo.empty() ? 0 : m_lostUpTo.back(); }

std::int64_t CaptureClock::lostUpTo(FrameIndex k) const
{
    const auto gap = std::ranges::upper_bound(m_afterGaps, k) - m_afterGaps.begin();
    return gap == 0 ? 0 : m_lostUpTo[static_cast<std::size_t>(gap) - 1];
}

std::int64_t CaptureClock::lostBefore(FrameIndex k) const
{
    const auto gap = std::ranges::lower_bound(m_afterGaps, k) - m_afterGaps.begin();
    if (static_cast<std::size_t>(gap) == m_afterGaps.size()
        || m_afterGaps[static_cast<std::size_t>(gap)] != k) {
        return 0;
    }
    const auto at = static_cast<std::size_t>(gap);
    return m_lostUpTo[at] - (at == 0 ? 0 : m_lostUpTo[at - 1]);
}

RealTime CaptureClock::toReal(FrameIndex k) const
{
    TL_EXPECTS(k.value >= 0 && k.value < m_frameCount);
    // Exact: frames * den * 1e9 / num in 128 bits, rounded once to the nearest.
    constexpr std::int64_t nsPerSecond = 1'000'000'000;
    const WideInteger scaled
        = static_cast<WideInteger>(k.value + lostUpTo(k)) * m_captureRate.den * nsPerSecond;
    return {static_cast<std::int64_t>((scaled + m_captureRate.num / 2) / m_captureRate.num)};
}

FrameIndex CaptureClock::frameAt(RealTime t) const
{
    std::int64_t low = 0;
    std::int64_t high = m_frameCount; // the frame lies in [low, high)
    while (high - low > 1) {
        const std::int64_t middle = low + (high - low) / 2;
        if (toReal({middle}) <= t) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return {low};
}

double playRateHz(const ClipIndex& index)
{
    const double ticks = reading(index, std::nullopt).intervalTicks;
    return ticks > 0.0 ? static_cast<double>(index.info.timeBaseDen)
            / (ticks * static_cast<double>(index.info.timeBaseNum))
                       : 0.0;
}

bool hasUnevenStamps(const ClipIndex& index) { return reading(index, std::nullopt).uneven; }

} // namespace twinlamp::footage

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/scrub_layout.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::ui {

AxisMapping scrubMapping(std::int64_t frameCount, double left, double right)
{
    return {0.0, static_cast<double>(std::max<std::int64_t>(1, frameCount - 1)), left, right};
}

FrameIndex frameAtPx(const AxisMapping& mapping, double px, std::int64_t frameCount)
{
    const auto frame = static_cast<std::int64_t>(std::llround(mapping.toValue(px)));
    return {std::clamp<std::int64_t>(frame, 0, std::max<std::int64_t>(0, frameCount - 1))};
}

std::optional<std::size_t> neighbourPress(
    std::span<const FrameIndex> onsets, FrameIndex from, bool forward)
{
    if (forward) {
        const auto after = std::ranges::upper_bound(onsets, from);
        return after == onsets.end()
            ? std::nullopt
            : std::optional(static_cast<std::size_t>(after - onsets.begin()));
    }
    const auto notBefore = std::ranges::lower_bound(onsets, from);
    return notBefore == onsets.begin()
        ? std::nullopt
        : std::optional(static_cast<std::size_t>(notBefore - onsets.begin()) - 1);
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"
#include "ui/plots/ruler.h"

#include <optional>
#include <span>

namespace twinlamp::ui {

/// The bar's mapping: frame 0 at `left`, the last frame at `right`. Unit of its values: frames.
[[nodiscard]] AxisMapping scrubMapping(std::int64_t frameCount, double left, double right);

/// Frame under a pixel, cut to the clip.
[[nodiscard]] FrameIndex frameAtPx(const AxisMapping& mapping, double px, std::int64_t frameCount);

/// Next press onset after (or before) a frame; nothing where there is none. `onsets` ascending.
[[nodiscard]] std::optional<std::size_t> neighbourPress(
    std::span<const FrameIndex> onsets, FrameIndex from, bool forward);

} // namespace twinlamp::ui

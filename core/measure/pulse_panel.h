// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/panel_figures.h"

#include <vector>

namespace twinlamp::measure {

/// Sweep start and full frame of a panel whose pulses are seen one by one: its bands change at the
/// start of a pulse, all at once where the picture is renewed while the backlight is dark.
[[nodiscard]] PanelFigures pulsePanelFigures(
    const PressMaterial& material, std::vector<Press>& presses);

} // namespace twinlamp::measure

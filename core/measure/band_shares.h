// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/press_builder.h"
#include "core/panel/bands.h"
#include "core/panel/row_shares.h"

#include <span>
#include <vector>

namespace twinlamp::measure {

/// A press and the frames that tell about the panel's change after it.
struct PanelWindow
{
    onset::AnswerWindow window;
    double startMs = 0.0; ///< of a picture's sweep that belongs to the answer
};

/// How the bands share each press's change among three pictures: the one whose sweep starts at
/// startMs, the one before and the one after.
[[nodiscard]] std::vector<panel::PressShares> bandShares(const PressMaterial& material,
    const std::vector<panel::Band>& bands, std::span<const PanelWindow> presses,
    const panel::SweepRows& sweep);

} // namespace twinlamp::measure

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/press_builder.h"
#include "core/panel/motion.h"
#include "core/panel/row_shares.h"

#include <optional>
#include <vector>

namespace twinlamp::measure {

struct PanelFigures
{
    std::optional<PanelTiming> timing;
    std::optional<GoggleSweep> goggleSweep;
    double sweepAlong = 0.0; ///< see PressMaterial
    std::vector<Sentence> notes;
};

/// Sweep start and full frame of every press (written into `presses`), and the panel's timing over
/// the clip.
/// @param presses  one per lamp edge, as buildPresses left them
/// @param motion   rhythm of a moving picture, if it shows one
[[nodiscard]] PanelFigures panelFigures(const PressMaterial& material,
    const std::optional<panel::MotionRhythm>& motion, std::vector<Press>& presses);

/// Sweep start and full frame of one press. The lamp is a part of the panel: a sweep that ends
/// before its first light, or begins after it, is none; what is off by less than a frame is the
/// doubt of two fits.
void writeSweep(const PressMaterial& material, const panel::SweepSpan& span, Press& press);

} // namespace twinlamp::measure

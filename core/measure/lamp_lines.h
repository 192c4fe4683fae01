// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/measure/lamp_line.h"
#include "core/measure/lamp_onsets.h"
#include "core/rig/check_onset.h"
#include "core/rig/line_time.h"

#include <optional>
#include <span>
#include <vector>

/// One lamp, line by line: what tells the line time of a rolling shutter.
namespace twinlamp::measure {

/// Codec and lens mix neighbouring rows, which hides a part of the slope over them: standard
/// uncertainty, share of the line time. Measured on simulated footage, see DEVELOPERS.md.
inline constexpr double rowMixing = 0.02;

struct Exposure
{
    double ms = 0.0;
    double standardMs = 0.0; ///< 0: given
    ExposureSource source = ExposureSource::Given;
};

/// Onsets of all edges of `lamp` as one trace shows them, and how they move with the exposure.
[[nodiscard]] std::vector<std::optional<rig::CheckOnset>> checkOnsets(
    const onset::TimedTrace& trace, const LampOnsets& lamp, const Exposure& exposure);

/// The same line by line, with no row correction; one entry per edge. Lines that step little are
/// glow, or lit by their neighbours, and are left out.
/// @param like  trace of the whole lamp: its times and camera
[[nodiscard]] std::vector<rig::LampLines> lineOnsets(const onset::TimedTrace& like,
    std::span<const LampLine> lines, const LampOnsets& lamp, const Exposure& exposure);

} // namespace twinlamp::measure

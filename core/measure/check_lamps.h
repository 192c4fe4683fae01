// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/lamp_lines.h"
#include "core/measure/rig_check_scan.h"
#include "core/onset/edge_finder.h"
#include "core/rig/check_onset.h"
#include "core/rig/line_time.h"

#include <optional>
#include <vector>

/// What both rig checks do with a lamp: when it switched, and under which exposure.
namespace twinlamp::measure {

/// Fewer switchings than this leave a wide interval.
inline constexpr std::size_t fewCheckEdges = 6;

/// One switching of a lamp, and its onset as the whole lamp and as its lines show it.
struct Switching
{
    onset::CoarseEdge edge;
    rig::CheckOnset onset;
    rig::LampLines lines;
};

struct LampTimes
{
    std::vector<Switching> switchings;
    bool isClipped = false;
};

/// The exposure as given, else told by the partly lit frames of the reference lamp's strongest
/// line.
[[nodiscard]] Exposure exposureOf(const CheckScan& scan, const std::optional<double>& givenMs);

/// The switchings of one lamp, corrected for their rows by `lineTimeUs`.
/// @param withLines  as its lines show them, too, with no row correction
[[nodiscard]] LampTimes timesOf(const CheckScan& scan, const LampScan& lamp,
    const Exposure& exposure, double lineTimeUs, bool withLines);

/// The result of a check as far as the scan alone tells it.
[[nodiscard]] CheckedClip startOf(const CheckScan& scan);
void noteExposure(const Exposure& exposure, CheckedClip& checked);

/// The error with the clip's name before it.
[[nodiscard]] Error named(Error error, const CheckScan& scan);
[[nodiscard]] Error noPress(const CheckScan& scan);

} // namespace twinlamp::measure

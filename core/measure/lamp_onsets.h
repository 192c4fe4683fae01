// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/lamp_line.h"
#include "core/onset/edge_finder.h"
#include "core/onset/exposure_estimate.h"
#include "core/onset/reference_onset.h"
#include "core/onset/timed_trace.h"

#include <optional>
#include <span>
#include <vector>

namespace twinlamp::measure {

/// One switching of the reference lamp.
struct LampOnset
{
    onset::CoarseEdge edge;
    std::optional<onset::ReferenceOnset> onset;
    bool clipped = false;
};

/// What pulses that dim the lamp leave open, see trace::BridgedPulses; their dark is bridged in the
/// trace that is timed.
struct LampPulses
{
    double depth = 0.0;
    double darkMs = 0.0;
};

struct LampOnsets
{
    std::vector<LampOnset> onsets;
    onset::LampResponse onResponse;
    onset::LampResponse offResponse;
    onset::EdgeSearch search;
    std::optional<onset::ExposureEstimate>
        exposure; ///< where it was not given and the lamp can tell
    std::optional<LampPulses> pulses; ///< empty: the light does not pulse

    [[nodiscard]] const onset::LampResponse& response(Edge edge) const
    {
        return edge == Edge::On ? onResponse : offResponse;
    }
};

/// Switchings that a lamp's light shows.
[[nodiscard]] std::size_t lampEdgeCount(std::span<const float> light);

/// Edges and onsets of the reference lamp. With an unknown exposure (trace.camera.exposureMs = 0)
/// it is estimated from partly lit frames first and written into trace.camera.
/// @param high    share of clipped pixels per frame, shape N
/// @param lines   the lamp's rows, where its line time is known and its rows may tell the exposure
/// @param pulses  that dim the lamp: an onset may then lie in the dark before a pulse or behind it
[[nodiscard]] LampOnsets lampOnsets(onset::TimedTrace& trace, std::span<const float> high,
    std::span<const LampLine> lines = {}, std::optional<LampPulses> pulses = std::nullopt);

/// The same edges timed again, under another exposure.
[[nodiscard]] std::vector<std::optional<onset::ReferenceOnset>> timeAgain(
    const onset::TimedTrace& trace, const LampOnsets& lamp);

} // namespace twinlamp::measure

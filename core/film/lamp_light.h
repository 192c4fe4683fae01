// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/press.h"
#include "core/film/light_curve.h"
#include "core/film/pulse_train.h"
#include "core/film/scene.h"

#include <optional>
#include <vector>

namespace twinlamp::film {

/// One switching of the lamps.
struct LampEdge
{
    double ms = 0.0;
    Edge edge = Edge::On;
};

/// Light of a lamp over time: 0 dark, 1 lit (its mean over a period where it is pulsed).
struct LampLight
{
    LightCurve curve {0.0};
    std::optional<PulseTrain> pulses;

    [[nodiscard]] double mean(Span span, std::size_t& hint) const
    {
        return pulsedMean(curve, pulses ? &*pulses : nullptr, span, 0.0, hint);
    }
};

/// The edges of the programme, in time order; random ones drawn from the scene's seed.
[[nodiscard]] std::vector<LampEdge> lampEdges(const Scene& scene);

/// Light of a lamp that switches `skewMs` after the edges, pulses up to `untilMs`.
[[nodiscard]] LampLight lampLight(
    const Lamps& lamps, const std::vector<LampEdge>& edges, double skewMs, double untilMs);

/// Length of the clip: as given, or 250 ms past the last edge.
[[nodiscard]] double sceneDurationMs(const Scene& scene, const std::vector<LampEdge>& edges);

} // namespace twinlamp::film

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/light_curve.h"

#include <vector>

namespace twinlamp::film {

/// When a pulsed light is lit. Its peak is so high that the mean over a period is 1.
struct PulseTrain
{
    std::vector<Span> pulses; ///< in order, apart
    double peak = 1.0;
    double periodMs = 0.0; ///< mean distance of the pulses' starts

    /// First pulse that ends after t.
    [[nodiscard]] std::size_t firstAfter(double tMs) const;

    /// Calls visit(Span) for each part of a pulse inside `span`, the train shifted by `offsetMs`.
    template<typename Visit> void overlap(Span span, double offsetMs, Visit visit) const
    {
        for (std::size_t i = firstAfter(span.startMs - offsetMs); i < pulses.size(); ++i) {
            const double start = pulses[i].startMs + offsetMs;
            if (start >= span.endMs) {
                return;
            }
            const double end = pulses[i].endMs + offsetMs;
            visit(Span {
                start > span.startMs ? start : span.startMs, end < span.endMs ? end : span.endMs});
        }
    }

    /// Mean of the train over the span: 1 over whole periods.
    [[nodiscard]] double mean(Span span, double offsetMs) const;
    [[nodiscard]] bool litAt(double tMs, double offsetMs) const;
};

/// Mean over the span of a curve seen through a train of pulses; without one, of the curve.
[[nodiscard]] double pulsedMean(const LightCurve& curve, const PulseTrain* train, Span span,
    double offsetMs, std::size_t& hint);

} // namespace twinlamp::film

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/pulse_train.h"

#include <algorithm>

namespace twinlamp::film {

std::size_t PulseTrain::firstAfter(double tMs) const
{
    const auto it = std::ranges::upper_bound(pulses, tMs, {}, &Span::endMs);
    return static_cast<std::size_t>(it - pulses.begin());
}

double PulseTrain::mean(Span span, double offsetMs) const
{
    double lit = 0.0;
    overlap(span, offsetMs, [&](Span part) { lit += part.lengthMs(); });
    return peak * lit / span.lengthMs();
}

bool PulseTrain::litAt(double tMs, double offsetMs) const
{
    const std::size_t i = firstAfter(tMs - offsetMs);
    return i < pulses.size() && pulses[i].startMs + offsetMs <= tMs;
}

double pulsedMean(
    const LightCurve& curve, const PulseTrain* train, Span span, double offsetMs, std::size_t& hint)
{
    if (train == nullptr) {
        return curve.mean(span, hint);
    }
    double sum = 0.0;
    train->overlap(span, offsetMs, [&](Span part) { sum += curve.integral(part, hint); });
    return train->peak * sum / span.lengthMs();
}

} // namespace twinlamp::film

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/periodic_power.h"

#include <cmath>
#include <cstddef>
#include <numbers>

namespace twinlamp::trace {

double powerAt(std::span<const double> values, std::span<const double> timeMs, double perMs)
{
    double re = 0.0;
    double im = 0.0;
    for (std::size_t k = 0; k < values.size(); ++k) {
        const double angle = 2.0 * std::numbers::pi * perMs * timeMs[k];
        re += values[k] * std::cos(angle);
        im += values[k] * std::sin(angle);
    }
    return re * re + im * im;
}

} // namespace twinlamp::trace

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/step_shape.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::onset {

namespace {

// Below this a ramp or a response is as good as none, and the differences below would lose digits.
constexpr double shortestMs = 1e-4;

// Integral of a one-pole response from its start.
double responseIntegral(double t, double tau)
{
    if (t <= 0.0) {
        return 0.0;
    }
    return tau < shortestMs ? std::max(0.0, t - tau) : t + tau * std::expm1(-t / tau);
}

// Integral of the integral.
double responseSecondIntegral(double t, double tau)
{
    if (t <= 0.0) {
        return 0.0;
    }
    if (tau < shortestMs) {
        return 0.5 * t * t;
    }
    const double x = t / tau;
    // The closed form cancels for small x: use its series there.
    if (x < 1e-2) {
        return tau * tau * x * x * x * (1.0 / 6.0 - x / 24.0 + x * x / 120.0);
    }
    return 0.5 * t * t - tau * (t + tau * std::expm1(-x));
}

// Mean of a response over the moments at which the sweep reaches the region's rows, from the
// response's integral.
template<typename Integral>
double overSweep(double t, const StepShape& shape, const Integral& integral)
{
    if (!shape.weights) {
        return (integral(t) - integral(t - shape.rampMs)) / shape.rampMs;
    }
    const double stretchMs = shape.rampMs / static_cast<double>(shape.weights->size());
    double sum = 0.0;
    double upper = integral(t);
    for (const double weight : *shape.weights) {
        t -= stretchMs;
        const double lower = integral(t);
        sum += weight * (upper - lower);
        upper = lower;
    }
    return sum / stretchMs;
}

// Share made t after a change that aims at its level at once.
double plainShare(double t, const StepShape& shape)
{
    if (t <= 0.0) {
        return 0.0;
    }
    if (shape.rampMs < shortestMs) {
        return shape.tauMs < shortestMs ? 1.0 : -std::expm1(-t / shape.tauMs);
    }
    return overSweep(t, shape, [&](double at) { return responseIntegral(at, shape.tauMs); });
}

// Integral of it from the start of the change.
double plainIntegral(double t, const StepShape& shape)
{
    if (shape.rampMs < shortestMs) {
        return responseIntegral(t, shape.tauMs);
    }
    return overSweep(t, shape, [&](double at) { return responseSecondIntegral(at, shape.tauMs); });
}

template<typename Plain> double overshot(double t, const StepShape& shape, const Plain& plain)
{
    const Overshoot& over = shape.overshoot;
    return over.share == 0.0
        ? plain(t, shape)
        : (1.0 + over.share) * plain(t, shape) - over.share * plain(t - over.backMs, shape);
}

double shapeIntegral(double t, const StepShape& shape) { return overshot(t, shape, plainIntegral); }

} // namespace

double StepShape::at(double tMs) const { return overshot(tMs, *this, plainShare); }

double StepShape::meanOver(double startMs, double exposureMs) const
{
    if (exposureMs < shortestMs) {
        return at(startMs);
    }
    if (startMs + exposureMs <= 0.0) {
        return 0.0;
    }
    return (shapeIntegral(startMs + exposureMs, *this) - shapeIntegral(startMs, *this))
        / exposureMs;
}

double StepShape::timeOf(double share) const
{
    double low = 0.0;
    double high = rampMs + 1e-3;
    while (at(high) < share && high < 1e6) {
        high = 2.0 * high + tauMs;
    }
    constexpr int halvings = 60;
    for (int i = 0; i < halvings; ++i) {
        const double middle = 0.5 * (low + high);
        (at(middle) < share ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

} // namespace twinlamp::onset

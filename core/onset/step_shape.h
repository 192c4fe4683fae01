// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <memory>
#include <vector>

namespace twinlamp::onset {

/// How a region's light is spread along the sweep that crosses it: shares of equal stretches, in
/// the order in which they change; their sum is 1. A round lamp has little in its first rows.
using SweepWeights = std::vector<double>;

/// A panel that is driven too far to be fast: for backMs it aims beyond the new level by a share of
/// the step, then at the level itself.
struct Overshoot
{
    double share = 0.0;
    double backMs = 0.0;
    bool operator==(const Overshoot&) const = default;
};

/// Shape of a region's light after a change: a ramp while the panel's sweep crosses it, smoothed by
/// an exponential response. 0 before t = 0, 1 in the end.
///
///   g(t) = [H(t) - H(t - T)] / T,  H(t) = t - tau (1 - exp(-t / tau)) for t > 0, else 0
///
/// With weights w_i of n stretches, each is crossed in T / n and g is their weighted sum. With an
/// overshoot of share o it is (1 + o) g(t) - o g(t - back).
///
/// T = 0 is a step, tau = 0 a panel without inertia; both limits are exact to 1e-6.
/// Source: convolution of a box with a one-pole response; limits in closed form at T = 0 and tau =
/// 0. Tests:  tests/core/onset/step_shape_test.cpp (ramp, exponential, sweep with response: t10,
/// t50, t90)
struct StepShape
{
    double rampMs = 0.0;
    double tauMs = 0.0;
    std::shared_ptr<const SweepWeights> weights = {}; ///< none: all stretches weigh the same
    Overshoot overshoot = {};
    bool operator==(const StepShape&) const = default;

    /// Share of the change made t ms after its start.
    [[nodiscard]] double at(double tMs) const;
    /// Mean of `at` over an exposure from startMs to startMs + exposureMs; `at` itself for an
    /// exposure of 0.
    [[nodiscard]] double meanOver(double startMs, double exposureMs) const;
    /// Time after the start at which `share` of the change is made, 0 < share < 1.
    [[nodiscard]] double timeOf(double share) const;
};

} // namespace twinlamp::onset

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/compare/run_comparison.h"
#include "core/stats/random_index.h"

#include <cmath>
#include <numbers>
#include <ostream>
#include <string>
#include <vector>

namespace twinlamp::stats::simulated {

/// A link of two clocks: a press waits for the camera's next frame, the frame travels, and waits
/// for the panel's next redraw.
struct Link
{
    std::string name;
    double cameraHz = 60.0;
    double panelHz = 100.0;
    /// Rate by which the panel's clock is off its label: 0 locks the clocks, so that a run keeps
    /// the offset it started with; 1 ms a second and more makes presses of one run independent.
    double panelOff = 0.0;
    double travelMs = 15.0;
    double jitterMs = 0.3; ///< standard deviation of the travel
};

inline void PrintTo(const Link& link, std::ostream* out) { *out << link.name; }

inline double normal(RandomSource& random)
{
    return std::sqrt(-2.0 * std::log(1.0 - random.unit()))
        * std::cos(2.0 * std::numbers::pi * random.unit());
}

/// One run: presses 0.5 to 1.5 s apart; a new, unknown offset of both clocks.
inline RunLatencies run(RandomSource& random, const Link& link, int presses)
{
    const double cameraMs = 1000.0 / link.cameraHz;
    const double panelMs = 1000.0 / link.panelHz * (1.0 + link.panelOff);
    const double cameraPhase = cameraMs * random.unit();
    const double panelPhase = panelMs * random.unit();
    RunLatencies latencies;
    double at = 1000.0 * random.unit();
    for (int i = 0; i < presses; ++i) {
        at += 500.0 + 1000.0 * random.unit();
        const double exposed = cameraPhase + cameraMs * std::ceil((at - cameraPhase) / cameraMs);
        const double arrived = exposed + link.travelMs + link.jitterMs * normal(random);
        const double shown = panelPhase + panelMs * std::ceil((arrived - panelPhase) / panelMs);
        latencies.latenciesMs.push_back(shown - at);
    }
    return latencies;
}

inline std::vector<RunLatencies> runs(
    RandomSource& random, const Link& link, int count, int presses)
{
    std::vector<RunLatencies> all;
    for (int i = 0; i < count; ++i) {
        all.push_back(run(random, link, presses));
    }
    return all;
}

/// The clocks of the design: locked in three ratios, slowly drifting, and free.
inline std::vector<Link> links()
{
    return {
        {"Locked60Into100", 60.0, 100.0, 0.0},
        {"Locked60Into120", 60.0, 120.0, 0.0},
        {"Locked100Into100", 100.0, 100.0, 0.0},
        {"Drifting100Into100", 100.0, 100.0, 1e-4},
        {"Free60Into100", 60.0, 100.0, 7.3e-3},
    };
}

} // namespace twinlamp::stats::simulated

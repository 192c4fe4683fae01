// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/pulse_sweep.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

namespace twinlamp::measure {

namespace {

/// Cells of a grid, from one to another.
struct Part
{
    int firstColumn = 0;
    int lastColumn = 0;
    int firstRow = 0;
    int lastRow = 0;
};

std::vector<float> meanOf(const panel::CellTraces& cells, const Part& part)
{
    std::vector<float> mean(cells.frameCount(), 0.0F);
    const int count = (part.lastColumn - part.firstColumn + 1) * (part.lastRow - part.firstRow + 1);
    for (std::size_t k = 0; k < mean.size(); ++k) {
        for (int row = part.firstRow; row <= part.lastRow; ++row) {
            for (int column = part.firstColumn; column <= part.lastColumn; ++column) {
                mean[k] += cells.at(k, static_cast<std::size_t>(row * cells.columns + column));
            }
        }
        mean[k] /= static_cast<float>(count);
    }
    return mean;
}

} // namespace

double pulseSweepMs(const panel::CellTraces& cells, const onset::TimedTrace& region,
    const trace::PulseLight& pulses)
{
    if (!pulses.isResolved || !pulses.single.empty() || cells.rows < 2 || cells.columns < 2) {
        return 0.0;
    }
    const rig::CameraTiming& camera = region.camera;
    const double rowMs = camera.lineTimeMs * cells.stored.height / cells.rows;
    const auto startOf = [&](const Part& part) -> std::optional<double> {
        const double offsetMs = 0.5 * (part.firstRow + part.lastRow) * rowMs;
        std::vector<double> times(region.startMs.begin(), region.startMs.end());
        for (double& time : times) {
            time += offsetMs;
        }
        const auto fold = trace::foldPulses(
            meanOf(cells, part), times, pulses.periodMs, camera.frameIntervalMs, camera.exposureMs);
        return fold && fold->isResolved ? std::optional(fold->litFromMs) : std::nullopt;
    };
    const int lastRow = cells.rows - 1;
    const int lastColumn = cells.columns - 1;
    const auto apart = [&](const Part& one, const Part& other) {
        const auto first = startOf(one);
        const auto last = startOf(other);
        return first && last ? std::abs(std::remainder(*last - *first, pulses.periodMs)) : 0.0;
    };
    return std::max(apart({0, lastColumn, 0, 0}, {0, lastColumn, lastRow, lastRow}),
        apart({0, 0, 0, lastRow}, {lastColumn, lastColumn, 0, lastRow}));
}

} // namespace twinlamp::measure

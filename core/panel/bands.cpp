// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/panel/bands.h"

#include "core/base/homography.h"
#include "core/onset/level_window.h"
#include "core/trace/noise.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace twinlamp::panel {

namespace {

// A cell counts as changing from this share of a strongly changing cell's step, and above its own
// noise.
constexpr double leastShareOfStrong = 0.15;
constexpr double leastNoises = 1.5;

std::vector<float> cellTrace(
    const CellTraces& cells, std::size_t cell, std::size_t first, std::size_t last)
{
    std::vector<float> light;
    light.reserve(last - first);
    for (std::size_t k = first; k < last; ++k) {
        light.push_back(cells.at(k, cell));
    }
    return light;
}

int edgeOf(int origin, int size, int parts, int index)
{
    return origin + static_cast<int>(std::int64_t {size} * index / parts);
}

void timeUpright(const CellTraces& cells, Axis axis, int count, int index,
    const rig::CameraTiming& camera, Band& band)
{
    RectPx rect = cells.stored;
    if (axis == Axis::Rows) {
        rect.y = edgeOf(cells.stored.y, cells.stored.height, count, index);
        rect.height = edgeOf(cells.stored.y, cells.stored.height, count, index + 1) - rect.y;
    }
    band.rows = rig::regionTiming(camera, rect);
    if (axis == Axis::Rows) {
        band.alongMs = camera.lineTimeMs < 0.0 ? -band.rows.smearMs : band.rows.smearMs;
    }
}

// Where the points of a turned panel's band lie among the stored rows.
void timeBetweenCorners(const CellTraces& cells, const std::vector<std::size_t>& members, Axis axis,
    const rig::CameraTiming& camera, Band& band)
{
    const Homography map(*cells.corners);
    const auto rowAt = [&](double along, double across) {
        return map
            .toPicture(axis == Axis::Rows ? PlanePoint {across, along} : PlanePoint {along, across})
            .y;
    };
    const auto columns = static_cast<std::size_t>(cells.columns);
    const double middle = 0.5 * (band.low + band.high);
    const auto n = static_cast<double>(members.size());
    const double origin = rowAt(middle, 0.5); // squares of large numbers would lose the spread
    const int count = axis == Axis::Rows ? cells.columns : cells.rows;
    double sum = 0.0;
    double squares = 0.0;
    double along = 0.0;
    for (const std::size_t cell : members) {
        const std::size_t index = axis == Axis::Rows ? cell % columns : cell / columns;
        const double across = (static_cast<double>(index) + 0.5) / count;
        // The panel's own scale changes slowly within a cell: its middle is its mean.
        const double row = rowAt(middle, across) - origin;
        sum += row;
        squares += row * row;
        along += rowAt(band.high, across) - rowAt(band.low, across);
    }
    const double mean = sum / n;
    const double within = rowAt(middle, 1.0) - rowAt(middle, 0.0); // of all cells together
    const double variance
        = std::max(0.0, squares / n - mean * mean) + within * within / (12.0 * count * count);
    band.alongMs = camera.lineTimeMs * along / n;
    band.acrossMs = std::abs(camera.lineTimeMs) * std::sqrt(12.0 * variance);
    // Row y of pixels has its middle at y + 1/2.
    band.rows.smearMs = std::abs(band.alongMs);
    band.rows.firstRowMs = camera.lineTimeMs * (origin + mean - 0.5) - 0.5 * band.rows.smearMs;
}

} // namespace

std::vector<bool> CellSteps::changing() const
{
    std::vector<bool> use(step.size(), false);
    if (step.empty()) {
        return use;
    }
    std::vector<double> sorted = step;
    std::ranges::sort(sorted);
    const double strong = sorted[sorted.size() * 9 / 10];
    for (std::size_t c = 0; c < step.size(); ++c) {
        use[c] = step[c] > leastShareOfStrong * strong && step[c] > leastNoises * noise[c]
            && step[c] > 0.0;
    }
    return use;
}

CellSteps cellSteps(const CellTraces& cells, const std::vector<StepFrames>& presses)
{
    CellSteps steps;
    for (std::size_t c = 0; c < cells.cellCount(); ++c) {
        // Noise by the same frames as the steps, so that no others have a say.
        std::vector<float> quiet;
        std::vector<double> heights;
        for (const StepFrames& press : presses) {
            const auto before = cellTrace(cells, c, press.beforeFirst, press.beforeLast);
            const auto after = cellTrace(cells, c, press.afterFirst, press.afterLast);
            const onset::Level low = onset::levelOf(before, 0, before.size());
            const onset::Level high = onset::levelOf(after, 0, after.size());
            if (low.frames > 0 && high.frames > 0) {
                heights.push_back(std::abs(high.light - low.light));
            }
            for (const auto& stretch : {before, after}) {
                quiet.insert(quiet.end(), stretch.begin(), stretch.end());
                quiet.push_back(std::numeric_limits<float>::quiet_NaN()); // no neighbours there
            }
        }
        steps.noise.push_back(trace::frameNoise(quiet));
        steps.step.push_back(trace::medianOf(heights));
    }
    return steps;
}

double seenRampMs(const Band& band, double sweepMs, int direction)
{
    const double along = std::max(0.0, sweepMs - direction * band.alongMs);
    return band.acrossMs > 0.0 ? std::hypot(along, band.acrossMs) : along;
}

std::vector<Band> makeBands(const CellTraces& cells, const std::vector<bool>& use, Axis axis,
    const rig::CameraTiming& camera)
{
    const int count = axis == Axis::Rows ? cells.rows : cells.columns;
    const int across = axis == Axis::Rows ? cells.columns : cells.rows;
    std::vector<Band> bands;
    for (int b = 0; b < count; ++b) {
        std::vector<std::size_t> members;
        for (int i = 0; i < across; ++i) {
            const auto cell = static_cast<std::size_t>(
                axis == Axis::Rows ? b * cells.columns + i : i * cells.columns + b);
            if (use[cell]) {
                members.push_back(cell);
            }
        }
        if (members.empty()) {
            continue;
        }
        Band band;
        band.low = static_cast<double>(b) / count;
        band.high = static_cast<double>(b + 1) / count;
        band.light.resize(cells.frameCount());
        for (std::size_t k = 0; k < cells.frameCount(); ++k) {
            double sum = 0.0;
            for (const std::size_t cell : members) {
                sum += static_cast<double>(cells.at(k, cell));
            }
            band.light[k] = static_cast<float>(sum / static_cast<double>(members.size()));
        }
        if (cells.corners) {
            timeBetweenCorners(cells, members, axis, camera, band);
        } else {
            timeUpright(cells, axis, count, b, camera, band);
        }
        bands.push_back(std::move(band));
    }
    return bands;
}

} // namespace twinlamp::panel

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/lamp_line.h"

#include "core/onset/level_window.h"
#include "core/trace/light_meter.h"
#include "core/trace/noise.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace twinlamp::measure {

namespace {

// A line that steps by less than this share of the strongest one is glow, or lit by its neighbours.
constexpr double weakestLine = 0.5;
constexpr std::size_t stepFrames = 8;

double stepOf(const LampLine& line, std::span<const onset::CoarseEdge> edges)
{
    std::vector<double> steps;
    for (std::size_t i = 0; i < edges.size(); ++i) {
        const std::size_t edge = edges[i].frame;
        const std::size_t previous = i == 0 ? 0 : edges[i - 1].frame + 1;
        const std::size_t next = i + 1 < edges.size() ? edges[i + 1].frame - 1 : line.light.size();
        const std::size_t last = edge - std::min<std::size_t>(edge, 1);
        const auto before = onset::levelOf(
            line.light, std::max(previous, last - std::min(last, stepFrames)), last);
        const auto after
            = onset::levelOf(line.light, edge + 1, std::min(next, edge + 1 + stepFrames));
        if (before.frames > 0 && after.frames > 0) {
            steps.push_back(std::abs(after.light - before.light));
        }
    }
    return trace::medianOf(steps);
}

} // namespace

std::vector<double> lineRows(RectPx stored, int lines)
{
    std::vector<double> rows;
    for (int line = 0; line < lines; ++line) {
        const RectPx cell = trace::cellOf({stored, 1, lines, 0}, 0, line);
        rows.push_back(cell.y + 0.5 * (cell.height - 1));
    }
    return rows;
}

std::vector<LampLine> linesApart(RectPx stored, int lines, std::span<const float> cells)
{
    std::vector<LampLine> apart;
    for (const double row : lineRows(stored, lines)) {
        apart.push_back({row, {}});
    }
    for (std::size_t i = 0; i < cells.size(); ++i) {
        apart[i % apart.size()].light.push_back(cells[i]);
    }
    return apart;
}

float rangeOf(const LampLine& line)
{
    float low = std::numeric_limits<float>::infinity();
    float high = -low;
    for (const float light : line.light) {
        low = std::fmin(low, light); // NaN stands for a missing frame
        high = std::fmax(high, light);
    }
    return std::fmax(0.0F, high - low);
}

std::vector<LampLine> linesOfTheLamp(
    std::span<const LampLine> lines, std::span<const onset::CoarseEdge> edges)
{
    std::vector<double> steps;
    for (const LampLine& line : lines) {
        steps.push_back(stepOf(line, edges));
    }
    const double strongest = steps.empty() ? 0.0 : *std::ranges::max_element(steps);
    std::vector<LampLine> ofTheLamp;
    for (std::size_t i = 0; i < lines.size(); ++i) {
        if (steps[i] >= weakestLine * strongest) {
            ofTheLamp.push_back(lines[i]);
        }
    }
    return ofTheLamp;
}

double middleRow(std::span<const LampLine> lines, RectPx stored)
{
    double weight = 0.0;
    double rows = 0.0;
    for (const LampLine& line : lines) {
        const auto step = static_cast<double>(rangeOf(line));
        weight += step;
        rows += step * line.row;
    }
    return weight > 0.0 ? rows / weight : stored.y + 0.5 * (stored.height - 1);
}

} // namespace twinlamp::measure

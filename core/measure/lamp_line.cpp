// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/lamp_line.h"

#include "core/trace/light_meter.h"

#include <cmath>
#include <limits>

namespace twinlamp::measure {

namespace {

// A line that steps by less than this share of the strongest one is glow, or lit by its neighbours.
constexpr double weakestLine = 0.5;

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

bool isOfTheLamp(const LampLine& line, float strongestRange)
{
    return static_cast<double>(rangeOf(line)) >= weakestLine * static_cast<double>(strongestRange);
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

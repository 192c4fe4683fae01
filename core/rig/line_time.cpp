// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/rig/line_time.h"

#include "core/rig/expanded_uncertainty.h"

#include <array>
#include <cmath>

namespace twinlamp::rig {

namespace {

constexpr std::size_t fewestLines = 3;
constexpr std::size_t fewestSlopes = 4;

struct Slope
{
    double msPerRow = 0.0;
    double weight = 0.0;
};

std::optional<Slope> slopeOf(const LampLines& lines)
{
    double weight = 0.0;
    double rows = 0.0;
    double times = 0.0;
    std::size_t used = 0;
    const auto weightOf = [](const LineOnset& line) {
        const bool usable = !line.onset.isBounded && line.onset.standardMs > 0.0;
        return usable ? 1.0 / (line.onset.standardMs * line.onset.standardMs) : 0.0;
    };
    for (const LineOnset& line : lines) {
        const double w = weightOf(line);
        used += w > 0.0 ? 1U : 0U;
        weight += w;
        rows += w * line.row;
        times += w * line.onset.timeMs;
    }
    if (used < fewestLines) {
        return std::nullopt;
    }
    const double meanRow = rows / weight;
    const double meanTime = times / weight;
    double squares = 0.0;
    double products = 0.0;
    for (const LineOnset& line : lines) {
        const double w = weightOf(line);
        squares += w * (line.row - meanRow) * (line.row - meanRow);
        products += w * (line.row - meanRow) * (line.onset.timeMs - meanTime);
    }
    if (squares <= 0.0) {
        return std::nullopt;
    }
    return Slope {products / squares, squares};
}

} // namespace

std::optional<LineTimeFit> fitLineTime(std::span<const LampLines> switchings)
{
    std::vector<Slope> slopes;
    double weight = 0.0;
    double sum = 0.0;
    for (const LampLines& lines : switchings) {
        if (const auto slope = slopeOf(lines)) {
            slopes.push_back(*slope);
            weight += slope->weight;
            sum += slope->weight * slope->msPerRow;
        }
    }
    if (slopes.size() < fewestSlopes) {
        return std::nullopt;
    }
    const double mean = sum / weight;
    double scatter = 0.0;
    for (const Slope& slope : slopes) {
        scatter += slope.weight * (slope.msPerRow - mean) * (slope.msPerRow - mean);
    }
    constexpr double usPerMs = 1e3;
    LineTimeFit fit;
    fit.degreesOfFreedom = static_cast<double>(slopes.size() - 1);
    fit.lineTimeUs = -usPerMs * mean;
    fit.standardUs = usPerMs * std::sqrt(scatter / (fit.degreesOfFreedom * weight));
    const std::array part {StandardPart {fit.standardUs, fit.degreesOfFreedom}};
    fit.halfWidthUs = expandedUncertainty(part).halfWidth;
    return fit;
}

} // namespace twinlamp::rig

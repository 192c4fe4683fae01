// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/lamp_steps.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace twinlamp::measure {

namespace {

/// Means over some frames, and what a slope is fitted from.
struct Line
{
    double frame = 0.0;
    double light = 0.0;
    double frames2 = 0.0; ///< sum of (frame - mean) squared
    double products = 0.0; ///< sum of (frame - mean) light
};

std::optional<Line> lineOver(const Column& light, std::size_t first, std::size_t last)
{
    Line line;
    double count = 0.0;
    for (std::size_t k = first; k < last; ++k) {
        if (std::isfinite(light.at(k))) {
            line.frame += static_cast<double>(k);
            line.light += static_cast<double>(light.at(k));
            count += 1.0;
        }
    }
    if (count == 0.0) {
        return std::nullopt;
    }
    line.frame /= count;
    line.light /= count;
    for (std::size_t k = first; k < last; ++k) {
        if (std::isfinite(light.at(k))) {
            const double off = static_cast<double>(k) - line.frame;
            line.frames2 += off * off;
            line.products += off * static_cast<double>(light.at(k));
        }
    }
    return line;
}

/// Steps at the lamps' switchings, counted up where they go on.
struct Steps
{
    std::vector<double> ofLevels; ///< from one whole stretch to the next
    std::vector<double>
        besideDrift; ///< right at the switching, a slope common to both sides taken out
};

Steps stepsOf(const Column& light, const std::vector<Stretch>& quiet)
{
    Steps steps;
    for (std::size_t i = 1; i < quiet.size(); ++i) {
        const Stretch& before = quiet[i - 1];
        const Stretch& after = quiet[i];
        if (before.isLit == after.isLit) {
            continue;
        }
        const double sign = after.isLit ? 1.0 : -1.0;
        const auto levelBefore = lineOver(light, before.first, before.last);
        const auto levelAfter = lineOver(light, after.first, after.last);
        // Long enough to bridge the gap between the two, short enough for a drift to be a slope.
        const std::size_t reach = 2 * (after.first - before.last);
        const auto last = lineOver(
            light, std::max(before.first, before.last - std::min(before.last, reach)), before.last);
        const auto first = lineOver(light, after.first, std::min(after.last, after.first + reach));
        if (!levelBefore || !levelAfter || !last || !first) {
            continue;
        }
        steps.ofLevels.push_back(sign * (levelAfter->light - levelBefore->light));
        const double frames2 = last->frames2 + first->frames2;
        const double slope = frames2 > 0.0 ? (last->products + first->products) / frames2 : 0.0;
        steps.besideDrift.push_back(
            sign * (first->light - last->light - slope * (first->frame - last->frame)));
    }
    return steps;
}

bool isClear(const std::vector<double>& steps)
{
    constexpr double clearly = 3.0;
    const auto count = static_cast<double>(steps.size());
    double sum = 0.0;
    double squares = 0.0;
    for (const double step : steps) {
        sum += step;
        squares += step * step;
    }
    const double mean = sum / count;
    const double error = std::sqrt(std::max(0.0, squares / count - mean * mean) / (count - 1.0));
    return std::abs(mean) > clearly * error;
}

} // namespace

bool stepsWithLamps(const Column& light, const std::vector<Stretch>& quiet)
{
    const Steps steps = stepsOf(light, quiet);
    return steps.ofLevels.size() < 2 || isClear(steps.ofLevels) || isClear(steps.besideDrift);
}

} // namespace twinlamp::measure

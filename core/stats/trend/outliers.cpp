// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/trend/outliers.h"

#include "core/stats/moments.h"
#include "core/stats/quantile.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::stats {

namespace {

std::optional<double> medianOf(std::vector<double> values)
{
    std::ranges::sort(values);
    return quantileType7(values, 0.5);
}

std::vector<double> deviations(std::span<const double> values, double centre)
{
    std::vector<double> all(values.size());
    std::ranges::transform(
        values, all.begin(), [centre](double value) { return std::abs(value - centre); });
    return all;
}

} // namespace

std::optional<double> medianAbsoluteDeviation(std::span<const double> values)
{
    const auto centre = medianOf({values.begin(), values.end()});
    return centre ? medianOf(deviations(values, *centre)) : std::nullopt;
}

std::vector<double> outlierScores(std::span<const double> values)
{
    std::vector<double> scores(values.size(), 0.0);
    const auto centre = medianOf({values.begin(), values.end()});
    if (!centre) {
        return scores;
    }
    const std::vector<double> away = deviations(values, *centre);
    // The rule prints 0.6745; sqrt(pi / 2) = 1.2533 makes a mean absolute deviation a standard one.
    constexpr double perMad = 0.6745;
    constexpr double perMeanDeviation = 1.2533;
    const double mad = medianOf(away).value_or(0.0);
    const double unit = mad > 0.0 ? mad / perMad : perMeanDeviation * mean(away).value_or(0.0);
    if (unit > 0.0) {
        std::ranges::transform(
            values, scores.begin(), [&](double value) { return (value - *centre) / unit; });
    }
    return scores;
}

std::vector<Outlier> outliers(std::span<const double> values)
{
    std::vector<Outlier> named;
    const std::vector<double> scores = outlierScores(values);
    for (std::size_t i = 0; i < scores.size(); ++i) {
        if (std::abs(scores[i]) > outlierScore) {
            named.push_back({i, scores[i]});
        }
    }
    return named;
}

} // namespace twinlamp::stats

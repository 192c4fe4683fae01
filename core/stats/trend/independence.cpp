// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/trend/independence.h"

#include "core/stats/interval.h"
#include "core/stats/moments.h"
#include "core/stats/quantile.h"
#include "core/stats/special_functions.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace twinlamp::stats {

std::optional<RunsTest> runsTest(std::span<const double> values, MedianValues medianValues)
{
    std::vector<double> sorted(values.begin(), values.end());
    std::ranges::sort(sorted);
    const auto median = quantileType7(sorted, 0.5);
    RunsTest test;
    std::optional<bool> before;
    for (const double value : values) {
        if (value == median && medianValues == MedianValues::Dropped) {
            continue;
        }
        const bool above = value >= median.value_or(value);
        ++(above ? test.above : test.below);
        test.runs += above == before ? 0 : 1;
        before = above;
    }
    if (std::min(test.above, test.below) < fewestForRunsTest) {
        return std::nullopt;
    }
    const auto n = static_cast<double>(test.above + test.below);
    const double product = 2.0 * static_cast<double>(test.above) * static_cast<double>(test.below);
    test.expected = product / n + 1.0;
    test.variance = product * (product - n) / (n * n * (n - 1.0));
    test.z = (static_cast<double>(test.runs) - test.expected) / std::sqrt(test.variance);
    test.pValue = normalBeyond(test.z);
    return test;
}

std::optional<Autocorrelation> lagOneAutocorrelation(std::span<const double> values)
{
    if (values.size() < 3) {
        return std::nullopt;
    }
    const double centre = mean(values).value_or(0.0);
    const double squares = sumOfSquaredDeviations(values);
    if (squares <= 0.0) {
        return std::nullopt;
    }
    double products = 0.0;
    for (std::size_t i = 0; i + 1 < values.size(); ++i) {
        products += (values[i] - centre) * (values[i + 1] - centre);
    }
    const auto n = static_cast<double>(values.size());
    Autocorrelation lag;
    lag.r = products / squares;
    lag.band = normalQuantile(1.0 - (1.0 - usualConfidence) / 2.0) / std::sqrt(n);
    lag.ljungBox = n * (n + 2.0) * lag.r * lag.r / (n - 1.0);
    lag.pValue = chiSquareAbove(1.0, lag.ljungBox);
    return lag;
}

} // namespace twinlamp::stats

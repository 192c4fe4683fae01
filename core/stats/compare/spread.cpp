// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/spread.h"

#include "core/base/contracts.h"
#include "core/stats/moments.h"
#include "core/stats/quantile.h"
#include "core/stats/special_functions.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::stats {

namespace {

/// The two middle values; their mean is the median.
struct Middle
{
    double low = 0.0;
    double high = 0.0;
};

/// Reorders the values.
Middle middleInPlace(std::vector<double>& values)
{
    const auto half = static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), values.begin() + half, values.end());
    const double high = values[static_cast<std::size_t>(half)];
    if (values.size() % 2 == 1) {
        return {high, high};
    }
    return {*std::max_element(values.begin(), values.begin() + half), high};
}

/// Reorders the values.
double deviationInPlace(std::vector<double>& values)
{
    const Middle middle = middleInPlace(values);
    const double centre = middle.low + (middle.high - middle.low) / 2.0;
    double sum = 0.0;
    for (const double value : values) {
        sum += std::abs(value - centre);
    }
    return sum / static_cast<double>(values.size());
}

double logDeviation(std::span<const double> values, std::vector<double>& room)
{
    room.assign(values.begin(), values.end());
    return std::log(deviationInPlace(room));
}

/// Logarithms of the deviation with each value left out in turn.
std::vector<double> leavingOneOut(std::span<const double> values, double sign)
{
    std::vector<double> all;
    std::vector<double> room;
    for (std::size_t i = 0; i < values.size(); ++i) {
        room.assign(values.begin(), values.end());
        room.erase(room.begin() + static_cast<std::ptrdiff_t>(i));
        all.push_back(sign * std::log(deviationInPlace(room)));
    }
    return all;
}

std::vector<double> resampledLogRatios(const TwoSamples& samples, const BootstrapPlan& plan)
{
    RandomSource random(plan.seed);
    std::vector<double> ratios(plan.replicates);
    std::vector<double> x(samples.x.size());
    std::vector<double> y(samples.y.size());
    for (double& ratio : ratios) {
        for (double& value : x) {
            value = samples.x[random.index(samples.x.size())];
        }
        for (double& value : y) {
            value = samples.y[random.index(samples.y.size())];
        }
        ratio = std::log(deviationInPlace(y)) - std::log(deviationInPlace(x));
    }
    return ratios;
}

std::vector<double> absoluteDeviations(const std::vector<double>& values, DeviationsFrom from)
{
    std::vector<double> sorted = values;
    std::ranges::sort(sorted);
    const double centre = from == DeviationsFrom::Median ? quantileType7(sorted, 0.5).value_or(0.0)
                                                         : mean(values).value_or(0.0);
    std::ranges::transform(
        values, sorted.begin(), [centre](double value) { return std::abs(value - centre); });
    return sorted;
}

} // namespace

std::optional<VarianceTest> equalSpreadTest(
    std::span<const std::vector<double>> groups, DeviationsFrom from)
{
    TL_EXPECTS(groups.size() >= 2);
    std::vector<double> all;
    double within = 0.0;
    double between = 0.0;
    std::vector<std::vector<double>> deviations;
    for (const std::vector<double>& group : groups) {
        if (group.size() < 2) {
            return std::nullopt;
        }
        deviations.push_back(absoluteDeviations(group, from));
        all.insert(all.end(), deviations.back().begin(), deviations.back().end());
        within += sumOfSquaredDeviations(deviations.back());
    }
    const double centre = mean(all).value_or(0.0);
    for (const std::vector<double>& group : deviations) {
        const double away = mean(group).value_or(0.0) - centre;
        between += static_cast<double>(group.size()) * away * away;
    }
    VarianceTest test;
    test.groupDegrees = static_cast<double>(groups.size() - 1);
    test.restDegrees = static_cast<double>(all.size() - groups.size());
    if (within <= 0.0) {
        return std::nullopt;
    }
    test.statistic = (between / test.groupDegrees) / (within / test.restDegrees);
    test.pValue = fAbove({test.groupDegrees, test.restDegrees}, test.statistic);
    return test;
}

std::optional<double> meanAbsoluteDeviation(std::span<const double> values)
{
    if (values.empty()) {
        return std::nullopt;
    }
    std::vector<double> room(values.begin(), values.end());
    return deviationInPlace(room);
}

std::optional<Estimate> spreadRatio(const TwoSamples& samples, const BootstrapPlan& plan)
{
    TL_EXPECTS(plan.replicates > 0 && plan.confidence > 0.0 && plan.confidence < 1.0);
    if (samples.x.size() < 2 || samples.y.size() < 2) {
        return std::nullopt;
    }
    std::vector<double> room;
    const double logRatio = logDeviation(samples.y, room) - logDeviation(samples.x, room);
    if (!std::isfinite(logRatio)) {
        return std::nullopt;
    }
    Estimate ratio {std::exp(logRatio), {}};
    if (std::min(samples.x.size(), samples.y.size()) < fewestForSpreadRatio) {
        return ratio;
    }
    const std::vector<std::vector<double>> leftOut {
        leavingOneOut(samples.x, -1.0), leavingOneOut(samples.y, 1.0)};
    const Interval ends
        = bcaInterval(resampledLogRatios(samples, plan), logRatio, leftOut, plan.confidence);
    if (ends.low && ends.high) {
        ratio.interval = {std::exp(*ends.low), std::exp(*ends.high)};
    }
    return ratio;
}

} // namespace twinlamp::stats

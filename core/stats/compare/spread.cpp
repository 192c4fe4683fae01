// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/spread.h"

#include "core/base/contracts.h"
#include "core/stats/moments.h"
#include "core/stats/quantile.h"
#include "core/stats/special_functions.h"

#include <algorithm>
#include <cmath>
#include <utility>

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

/// Squared standard error of the logarithm of the mean absolute deviation d from the median m of n
/// values: the variance of |x - m|, over n d^2.
double logDeviationVariance(std::span<const double> values)
{
    std::vector<double> room(values.begin(), values.end());
    const Middle middle = middleInPlace(room);
    const double centre = middle.low + (middle.high - middle.low) / 2.0;
    for (double& value : room) {
        value = std::abs(value - centre);
    }
    const double deviation = mean(room).value_or(0.0);
    const auto n = static_cast<double>(room.size());
    return sumOfSquaredDeviations(room) / (n - 1.0) / (n * deviation * deviation);
}

/// Logarithm of one sample's deviation: its estimate, its replicates, its jackknife.
class LogDeviation
{
public:
    explicit LogDeviation(std::span<const double> values)
        : m_values(values)
        , m_room(values.begin(), values.end())
        , m_estimate(std::log(deviationInPlace(m_room)))
    {
        if (isLarge() && std::isfinite(m_estimate)) {
            m_standardError = std::sqrt(logDeviationVariance(values));
        }
    }

    [[nodiscard]] double estimate() const { return m_estimate; }

    [[nodiscard]] double replicate(RandomSource& random)
    {
        if (isLarge()) {
            return m_estimate + m_standardError * normalDraw(random);
        }
        m_room.resize(m_values.size());
        for (double& value : m_room) {
            value = m_values[random.index(m_values.size())];
        }
        return std::log(deviationInPlace(m_room));
    }

    /// With each value left out in turn. None of a large sample: what a single value does there
    /// moves no level of BCa.
    [[nodiscard]] std::vector<double> leavingOneOut(double sign)
    {
        std::vector<double> all;
        for (std::size_t i = 0; i < m_values.size() && !isLarge(); ++i) {
            m_room.assign(m_values.begin(), m_values.end());
            m_room.erase(m_room.begin() + static_cast<std::ptrdiff_t>(i));
            all.push_back(sign * std::log(deviationInPlace(m_room)));
        }
        return all;
    }

private:
    [[nodiscard]] bool isLarge() const { return m_values.size() > mostForSpreadBootstrap; }

    std::span<const double> m_values;
    std::vector<double> m_room;
    double m_estimate = 0.0;
    double m_standardError = 0.0;
};

/// Empty where it was stopped.
std::vector<double> resampledLogRatios(LogDeviation& x, LogDeviation& y, const BootstrapPlan& plan)
{
    RandomSource random(plan.seed);
    std::vector<double> ratios(plan.replicates);
    for (double& ratio : ratios) {
        if (plan.stop.stop_requested()) {
            return {};
        }
        const double ofX = x.replicate(random);
        ratio = y.replicate(random) - ofX;
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
    LogDeviation x(samples.x);
    LogDeviation y(samples.y);
    const double logRatio = y.estimate() - x.estimate();
    if (!std::isfinite(logRatio)) {
        return std::nullopt;
    }
    Estimate ratio {std::exp(logRatio), {}};
    if (std::min(samples.x.size(), samples.y.size()) < fewestForSpreadRatio) {
        return ratio;
    }
    std::vector<double> replicates = resampledLogRatios(x, y, plan);
    if (replicates.empty()) {
        return std::nullopt;
    }
    std::vector<std::vector<double>> leftOut;
    for (std::vector<double> one : {x.leavingOneOut(-1.0), y.leavingOneOut(1.0)}) {
        if (!one.empty()) {
            leftOut.push_back(std::move(one));
        }
    }
    const Interval ends = bcaInterval(std::move(replicates), logRatio, leftOut, plan.confidence);
    if (ends.low && ends.high) {
        ratio.interval = {std::exp(*ends.low), std::exp(*ends.high)};
    }
    return ratio;
}

} // namespace twinlamp::stats

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/trend/theil_sen.h"

#include "core/base/contracts.h"
#include "core/stats/quantile.h"
#include "core/stats/special_functions.h"
#include "core/stats/ties.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace twinlamp::stats {

namespace {

std::vector<double> thinned(std::span<const double> values)
{
    const std::size_t step = (values.size() + mostForTheilSen - 1) / mostForTheilSen;
    std::vector<double> kept;
    for (std::size_t i = 0; i < values.size(); i += std::max<std::size_t>(step, 1)) {
        kept.push_back(values[i]);
    }
    return kept;
}

std::vector<double> sortedSlopes(const std::vector<double>& at, const std::vector<double>& values)
{
    std::vector<double> slopes;
    slopes.reserve(at.size() * at.size() / 2);
    for (std::size_t i = 0; i < at.size(); ++i) {
        for (std::size_t j = i + 1; j < at.size(); ++j) {
            if (at[i] != at[j]) {
                slopes.push_back((values[j] - values[i]) / (at[j] - at[i]));
            }
        }
    }
    std::ranges::sort(slopes);
    return slopes;
}

/// n(n - 1)(2n + 5) less the same of each tie, over 18.
double kendallVariance(const std::vector<double>& at, const std::vector<double>& values)
{
    const auto term = [](double n) { return n * (n - 1.0) * (2.0 * n + 5.0); };
    double sum = term(static_cast<double>(at.size()));
    for (const auto* ties : {&at, &values}) {
        for (const std::int64_t tie : tieSizes(*ties)) {
            sum -= term(static_cast<double>(tie));
        }
    }
    return std::max(0.0, sum / 18.0);
}

Interval slopeInterval(const std::vector<double>& slopes, double variance, double confidence)
{
    const double z = normalQuantile(1.0 - (1.0 - confidence) / 2.0);
    const auto count = static_cast<double>(slopes.size());
    const double reach = z * std::sqrt(variance);
    // Half to even, as the reference does.
    const double upper = std::min(std::nearbyint((count + reach) / 2.0), count - 1.0);
    const double lower = std::max(std::nearbyint((count - reach) / 2.0) - 1.0, 0.0);
    return {slopes[static_cast<std::size_t>(lower)], slopes[static_cast<std::size_t>(upper)]};
}

/// Whether the extreme slopes reach the confidence at all: all n! orders are equally likely, two of
/// them are monotone.
bool extremesReach(std::size_t count, double confidence)
{
    double orders = 1.0;
    for (std::size_t i = 2; i <= std::min<std::size_t>(count, 20); ++i) {
        orders *= static_cast<double>(i);
    }
    return 2.0 / orders <= 1.0 - confidence;
}

} // namespace

std::optional<TheilSen> theilSen(const Series& series, double confidence)
{
    TL_EXPECTS(series.at.size() == series.values.size());
    TL_EXPECTS(confidence > 0.0 && confidence < 1.0);
    const std::vector<double> at = thinned(series.at);
    const std::vector<double> values = thinned(series.values);
    const std::vector<double> slopes = sortedSlopes(at, values);
    if (slopes.empty()) {
        return std::nullopt;
    }
    TheilSen line;
    line.slope = quantileType7(slopes, 0.5).value_or(0.0);
    std::vector<double> offsets(values.size());
    std::ranges::transform(values, at, offsets.begin(),
        [&line](double value, double when) { return value - line.slope * when; });
    std::ranges::sort(offsets);
    line.intercept = quantileType7(offsets, 0.5).value_or(0.0);
    if (extremesReach(values.size(), confidence)) {
        line.interval = slopeInterval(slopes, kendallVariance(at, values), confidence);
    }
    return line;
}

} // namespace twinlamp::stats

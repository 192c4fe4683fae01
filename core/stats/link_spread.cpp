// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/link_spread.h"

#include "core/base/contracts.h"
#include "core/stats/moments.h"
#include "core/stats/special_functions.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::stats {

namespace {

/// Mean of what is left when `share` of the values is cut at each end.
double trimmedMean(std::vector<double> values, double share)
{
    std::ranges::sort(values);
    const auto cut = static_cast<std::size_t>(share * static_cast<double>(values.size()));
    double sum = 0.0;
    for (std::size_t i = cut; i + cut < values.size(); ++i) {
        sum += values[i];
    }
    return sum / static_cast<double>(values.size() - 2 * cut);
}

/// Latencies with the mean of their run taken out, and the runs that gave any.
struct WithinRuns
{
    std::vector<double> deviations;
    double sumOfSquares = 0.0;
    std::size_t fitted = 0; ///< parameters: a mean each run, and what else was fitted

    [[nodiscard]] double degrees() const { return static_cast<double>(deviations.size() - fitted); }

    [[nodiscard]] double variance() const { return sumOfSquares / degrees(); }
};

WithinRuns withinRuns(std::span<const std::vector<double>> runs)
{
    WithinRuns within;
    for (const std::vector<double>& run : runs) {
        if (run.size() < 2) {
            continue;
        }
        const double centre = *mean(run);
        for (const double value : run) {
            within.deviations.push_back(value - centre);
        }
        within.sumOfSquares += sumOfSquaredDeviations(run);
        ++within.fitted;
    }
    return within;
}

/// Ends of the interval of the variance.
struct VarianceEnds
{
    double low = 0.0;
    double high = 0.0;
};

VarianceEnds bonettInterval(const WithinRuns& within)
{
    const auto n = static_cast<double>(within.deviations.size());
    const double z = normalQuantile(1.0 - (1.0 - usualConfidence) / 2.0);
    const double trimmed = trimmedMean(within.deviations, 1.0 / (2.0 * std::sqrt(n - 4.0)));
    double fourth = 0.0;
    for (const double deviation : within.deviations) {
        fourth += std::pow(deviation - trimmed, 4);
    }
    const double kurtosis = n * fourth / (within.sumOfSquares * within.sumOfSquares);
    const double small = n / (n - z);
    const double standardError
        = small * std::sqrt(std::max(0.0, kurtosis - (n - 3.0) / n) / within.degrees());
    const double centre = small * within.variance();
    return {centre * std::exp(-z * standardError), centre * std::exp(z * standardError)};
}

/// What remains of a deviation when a known variance is taken out of it.
LinkSpread remainderOf(const WithinRuns& within, double knownMs2)
{
    const auto remains
        = [knownMs2](double variance) { return std::sqrt(std::max(0.0, variance - knownMs2)); };
    LinkSpread spread {remains(within.variance()), {}};
    if (within.deviations.size() < fewestForLinkSpreadInterval) {
        return spread;
    }
    if (within.sumOfSquares <= 0.0) {
        spread.interval = {0.0, 0.0};
        return spread;
    }
    const VarianceEnds ends = bonettInterval(within);
    spread.interval = {remains(ends.low), remains(ends.high)};
    return spread;
}

} // namespace

std::optional<LinkSpread> linkSpread(const LinkSpreadInput& input)
{
    TL_EXPECTS(input.linkFrameMs > 0.0 && input.meanVarianceMs2 >= 0.0);
    const WithinRuns within = withinRuns(input.runs);
    if (within.fitted == 0) {
        return std::nullopt;
    }
    return remainderOf(
        within, input.linkFrameMs * input.linkFrameMs / 12.0 + input.meanVarianceMs2);
}

std::optional<LinkSpread> linkSpreadAboutClock(const Sawtooth& clock, double meanVarianceMs2)
{
    TL_EXPECTS(meanVarianceMs2 >= 0.0);
    WithinRuns within = withinRuns(clock.residualsMs);
    // Each run's phase and the common period were fitted as well.
    within.fitted = 2 * within.fitted + 1;
    if (within.deviations.size() < within.fitted + 2) {
        return std::nullopt;
    }
    return remainderOf(within, meanVarianceMs2);
}

} // namespace twinlamp::stats

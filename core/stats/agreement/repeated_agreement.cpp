// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/agreement/repeated_agreement.h"

#include "core/base/contracts.h"
#include "core/stats/moments.h"
#include "core/stats/special_functions.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::stats {

namespace {

constexpr std::size_t fewestForSlope = 3; ///< runs

/// Sums of one run's differences and of their products with the means.
struct RunSums
{
    double pairs = 0.0;
    double bias = 0.0;
    double squares = 0.0; ///< of the differences about the run's bias
    double meanSquares = 0.0; ///< of the means of readout and measured about their own
    double products = 0.0;
};

RunSums sumsOf(const std::vector<ReadoutPair>& run)
{
    std::vector<double> differences;
    std::vector<double> means;
    for (const ReadoutPair& pair : run) {
        differences.push_back(pair.readout - pair.measured);
        means.push_back(pair.measured + (pair.readout - pair.measured) / 2.0);
    }
    RunSums sums;
    sums.pairs = static_cast<double>(run.size());
    sums.bias = mean(differences).value_or(0.0);
    sums.squares = sumOfSquaredDeviations(differences);
    sums.meanSquares = sumOfSquaredDeviations(means);
    const double centre = mean(means).value_or(0.0);
    for (std::size_t i = 0; i < run.size(); ++i) {
        sums.products += (differences[i] - sums.bias) * (means[i] - centre);
    }
    return sums;
}

/// A variance with its chi-square interval, as distances to the ends.
struct Component
{
    double variance = 0.0;
    double toLow = 0.0;
    double toHigh = 0.0;
};

Component component(double variance, double degrees, const AgreementOptions& options)
{
    if (!(degrees > 0.0)) {
        return {};
    }
    const double tail = (1.0 - options.confidence) / 2.0;
    return {variance, variance * (1.0 - degrees / chiSquareQuantile(degrees, 1.0 - tail)),
        variance * (degrees / chiSquareQuantile(degrees, tail) - 1.0)};
}

void fillLimits(const Component& between, const Component& within, double biasReach,
    double multiplier, RepeatedAgreement& found)
{
    const double total = between.variance + within.variance;
    found.totalSd = std::sqrt(total);
    const double lowSd = std::sqrt(std::max(0.0, total - std::hypot(between.toLow, within.toLow)));
    const double highSd = std::sqrt(total + std::hypot(between.toHigh, within.toHigh));
    const double inward = std::hypot(biasReach, multiplier * (found.totalSd - lowSd));
    const double outward = std::hypot(biasReach, multiplier * (highSd - found.totalSd));
    const double lower = found.bias.value - multiplier * found.totalSd;
    const double upper = found.bias.value + multiplier * found.totalSd;
    found.lowerLimit = {lower, {lower - outward, lower + inward}};
    found.upperLimit = {upper, {upper - inward, upper + outward}};
}

void fillProportionalBias(
    const std::vector<RunSums>& runs, double confidence, RepeatedAgreement& found)
{
    std::vector<RunSums> sloped;
    std::ranges::copy_if(
        runs, std::back_inserter(sloped), [](const RunSums& run) { return run.meanSquares > 0.0; });
    if (sloped.size() < fewestForSlope) {
        return;
    }
    const auto count = static_cast<double>(sloped.size());
    double products = 0.0;
    double squares = 0.0;
    for (const RunSums& run : sloped) {
        products += run.products;
        squares += run.meanSquares;
    }
    const double slope = products / squares;
    double scatter = 0.0;
    for (const RunSums& run : sloped) {
        const double away = run.products - slope * run.meanSquares;
        scatter += away * away;
    }
    const double error = std::sqrt(count / (count - 1.0) * scatter) / squares;
    const double reach = error * studentQuantile(count - 1.0, 1.0 - (1.0 - confidence) / 2.0);
    found.proportionalBias = Estimate {slope, {slope - reach, slope + reach}};
    found.proportionalPValue = error > 0.0 ? studentBeyond(count - 1.0, slope / error)
        : slope == 0.0                     ? 1.0
                                           : 0.0;
}

} // namespace

std::optional<RepeatedAgreement> agreementByRuns(
    std::span<const std::vector<ReadoutPair>> runs, const AgreementOptions& options)
{
    TL_EXPECTS(options.confidence > 0.0 && options.confidence < 1.0 && options.multiplier > 0.0);
    std::vector<RunSums> sums;
    std::vector<double> biases;
    double pairs = 0.0;
    double squares = 0.0;
    double sharesOfOne = 0.0;
    for (const std::vector<ReadoutPair>& run : runs) {
        if (run.empty()) {
            continue;
        }
        const RunSums& one = sums.emplace_back(sumsOf(run));
        biases.push_back(one.bias);
        pairs += one.pairs;
        squares += one.squares;
        sharesOfOne += 1.0 / one.pairs;
    }
    if (sums.size() < 2) {
        return std::nullopt;
    }
    const auto count = static_cast<double>(sums.size());
    const double withinVariance = pairs > count ? squares / (pairs - count) : 0.0;
    const double ofBiases = sumOfSquaredDeviations(biases) / (count - 1.0);
    const double shareOfOne = sharesOfOne / count;
    RepeatedAgreement found;
    found.runs = sums.size();
    found.pairs = static_cast<std::size_t>(pairs);
    found.withinSd = std::sqrt(withinVariance);
    found.betweenSd = std::sqrt(std::max(0.0, ofBiases - shareOfOne * withinVariance));
    const double bias = mean(biases).value_or(0.0);
    const double reach = std::sqrt(ofBiases / count)
        * studentQuantile(count - 1.0, 1.0 - (1.0 - options.confidence) / 2.0);
    found.bias = {bias, {bias - reach, bias + reach}};
    fillLimits(component(ofBiases, count - 1.0, options),
        component((1.0 - shareOfOne) * withinVariance, pairs - count, options), reach,
        options.multiplier, found);
    fillProportionalBias(sums, options.confidence, found);
    return found;
}

} // namespace twinlamp::stats

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/agreement/bland_altman.h"

#include "core/base/contracts.h"
#include "core/stats/moments.h"
#include "core/stats/special_functions.h"

#include <cmath>
#include <vector>

namespace twinlamp::stats {

namespace {

Estimate withReach(double value, double reach) { return {value, {value - reach, value + reach}}; }

struct Differences
{
    std::vector<double> values; ///< readout less measured
    std::vector<double> means; ///< of the two
};

Differences differencesOf(std::span<const ReadoutPair> pairs)
{
    Differences differences;
    for (const ReadoutPair& pair : pairs) {
        differences.values.push_back(pair.readout - pair.measured);
        differences.means.push_back(pair.measured + (pair.readout - pair.measured) / 2.0);
    }
    return differences;
}

void fillProportionalBias(
    const Differences& differences, const AgreementOptions& options, Agreement& found)
{
    const std::size_t count = differences.values.size();
    const double squares = sumOfSquaredDeviations(differences.means);
    if (count < 3 || !(squares > 0.0)) {
        return;
    }
    const double centre = *mean(differences.means);
    double products = 0.0;
    for (std::size_t i = 0; i < count; ++i) {
        products += (differences.means[i] - centre) * (differences.values[i] - found.bias.value);
    }
    const double slope = products / squares;
    double residuals = 0.0;
    for (std::size_t i = 0; i < count; ++i) {
        const double residual
            = differences.values[i] - found.bias.value - slope * (differences.means[i] - centre);
        residuals += residual * residual;
    }
    const double degrees = static_cast<double>(count) - 2.0;
    const double error = std::sqrt(residuals / degrees / squares);
    const double quantile = studentQuantile(degrees, 1.0 - (1.0 - options.confidence) / 2.0);
    found.proportionalBias = withReach(slope, quantile * error);
    if (error > 0.0) {
        found.proportionalPValue = studentBeyond(degrees, slope / error);
    } else {
        found.proportionalPValue = slope == 0.0 ? 1.0 : 0.0;
    }
}

} // namespace

std::optional<Agreement> agreement(
    std::span<const ReadoutPair> pairs, const AgreementOptions& options)
{
    TL_EXPECTS(options.confidence > 0.0 && options.confidence < 1.0 && options.multiplier > 0.0);
    if (pairs.size() < 2) {
        return std::nullopt;
    }
    const Differences differences = differencesOf(pairs);
    const auto n = static_cast<double>(pairs.size());
    Agreement found;
    found.pairs = pairs.size();
    found.sd = *standardDeviation(differences.values);
    const double bias = *mean(differences.values);
    const double quantile = studentQuantile(n - 1.0, 1.0 - (1.0 - options.confidence) / 2.0);
    found.bias = withReach(bias, quantile * found.sd / std::sqrt(n));
    const double limitError = found.sd
        * std::sqrt(1.0 / n + options.multiplier * options.multiplier / (2.0 * (n - 1.0)));
    const double toLimit = options.multiplier * found.sd;
    found.lowerLimit = withReach(bias - toLimit, quantile * limitError);
    found.upperLimit = withReach(bias + toLimit, quantile * limitError);
    fillProportionalBias(differences, options, found);
    return found;
}

} // namespace twinlamp::stats

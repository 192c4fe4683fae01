// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/welch.h"

#include "core/base/contracts.h"
#include "core/stats/moments.h"
#include "core/stats/special_functions.h"

#include <cmath>

namespace twinlamp::stats {

std::optional<WelchTest> welchTest(
    const TwoSamples& samples, double confidence, double commonVariance)
{
    TL_EXPECTS(commonVariance >= 0.0 && confidence > 0.0 && confidence < 1.0);
    if (samples.x.size() < 2 || samples.y.size() < 2) {
        return std::nullopt;
    }
    const auto squaredError = [](std::span<const double> values) {
        const auto n = static_cast<double>(values.size());
        return sumOfSquaredDeviations(values) / (n - 1.0) / n;
    };
    const double ofX = squaredError(samples.x);
    const double ofY = squaredError(samples.y);
    const double total = ofX + ofY + commonVariance;
    const double overDegrees = ofX * ofX / static_cast<double>(samples.x.size() - 1)
        + ofY * ofY / static_cast<double>(samples.y.size() - 1);
    if (total <= 0.0 || overDegrees <= 0.0) {
        return std::nullopt;
    }
    WelchTest test;
    test.difference.value = *mean(samples.x) - *mean(samples.y);
    test.standardError = std::sqrt(total);
    test.degrees = total * total / overDegrees;
    test.t = test.difference.value / test.standardError;
    test.pValue = studentBeyond(test.degrees, test.t);
    const double reach
        = test.standardError * studentQuantile(test.degrees, 1.0 - (1.0 - confidence) / 2.0);
    test.difference.interval = {test.difference.value - reach, test.difference.value + reach};
    return test;
}

} // namespace twinlamp::stats

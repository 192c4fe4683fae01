// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/agreement/repeated_agreement.h"
#include "core/stats/random_index.h"

#include <gtest/gtest.h>
#include <iostream>
#include <vector>

namespace twinlamp::stats {
namespace {

using Runs = std::vector<std::vector<ReadoutPair>>;

/// Invented: readout, measured.
const Runs invented {
    {{25.1, 22.0}, {30.2, 26.4}, {28.3, 25.1}},
    {{27.5, 25.0}, {22.4, 21.3}},
    {{31.0, 26.1}, {29.2, 24.8}, {24.6, 21.0}, {33.1, 27.9}},
    {{26.0, 24.2}, {28.4, 25.7}, {23.9, 22.8}},
};

TEST(AgreementByRuns, ByTheWrittenFormula)
{
    // NumPy 1.24 and SciPy 1.10: d the lists of differences a run; sb = var([mean(x) for x in d],
    // ddof=1), sw = sum(((x - x.mean()) ** 2).sum() for x in d) / (12 - 4), s = mean(1 / len(x));
    // var = sb + (1 - s) * sw; ends by MOVER with t.ppf(.975, 3) and chi2.ppf([.025, .975], 3 or
    // 8).
    const auto found = agreementByRuns(invented);
    ASSERT_TRUE(found);
    EXPECT_EQ(found->runs, 4U);
    EXPECT_EQ(found->pairs, 12U);
    EXPECT_NEAR(found->bias.value, 2.88958333333, 1e-10);
    EXPECT_NEAR(found->bias.interval.low.value(), 0.807623950874, 1e-9);
    EXPECT_NEAR(found->withinSd, 0.708945813632, 1e-10);
    EXPECT_NEAR(found->betweenSd, 1.23851114928, 1e-10);
    EXPECT_NEAR(found->totalSd, 1.42706483159, 1e-10);
    EXPECT_NEAR(found->lowerLimit.value, 0.0925876598106, 1e-9);
    EXPECT_NEAR(found->lowerLimit.interval.low.value(), -7.05049795053, 1e-8);
    EXPECT_NEAR(found->lowerLimit.interval.high.value(), 2.39311785011, 1e-8);
    EXPECT_NEAR(found->upperLimit.value, 5.68657900686, 1e-9);
    EXPECT_NEAR(found->upperLimit.interval.low.value(), 3.38604881656, 1e-8);
    EXPECT_NEAR(found->upperLimit.interval.high.value(), 12.8296646172, 1e-8);
    // The slope: products and squares about each run's means, the runs' parts as blocks.
    EXPECT_NEAR(found->proportionalBias->value, 0.238851226512, 1e-10);
    EXPECT_NEAR(found->proportionalBias->interval.high.value(), 0.370156973323, 1e-8);
    EXPECT_NEAR(*found->proportionalPValue, 0.0102533363377, 1e-8);
}

TEST(AgreementByRuns, OnePairARunIsThePlainCheck)
{
    Runs runs;
    std::vector<ReadoutPair> all;
    for (const auto& run : invented) {
        for (const ReadoutPair& pair : run) {
            runs.push_back({pair});
            all.push_back(pair);
        }
    }
    const auto byRuns = agreementByRuns(runs);
    const auto plain = agreement(all);
    EXPECT_NEAR(byRuns->bias.value, plain->bias.value, 1e-12);
    EXPECT_NEAR(*byRuns->bias.interval.low, *plain->bias.interval.low, 1e-12);
    EXPECT_NEAR(byRuns->totalSd, plain->sd, 1e-12);
    EXPECT_NEAR(byRuns->upperLimit.value, plain->upperLimit.value, 1e-12);
    EXPECT_EQ(byRuns->withinSd, 0.0);
    EXPECT_FALSE(byRuns->proportionalBias) << "no run has two pairs";
}

TEST(AgreementByRuns, FewRunsSayLittle)
{
    EXPECT_FALSE(agreementByRuns(Runs {}).has_value());
    EXPECT_FALSE(agreementByRuns(Runs {invented[0], {}}).has_value());
    const auto two = agreementByRuns(Runs {invented[0], invented[1]});
    ASSERT_TRUE(two);
    EXPECT_FALSE(two->proportionalBias);
    EXPECT_LT(two->bias.interval.low.value(), two->bias.value);
}

TEST(AgreementByRuns, OffsetsOfRunsAreNoSlope)
{
    // Each run reads high by as much as its latencies are long: over all pairs that is a slope of
    // about 1, within the runs there is none.
    Runs runs;
    std::vector<ReadoutPair> all;
    for (int run = 0; run < 4; ++run) {
        auto& pairs = runs.emplace_back();
        for (int i = 0; i < 5; ++i) {
            const double measured = 20.0 + 10.0 * run + i;
            pairs.push_back({measured + 10.0 * run + (i % 2 == 0 ? 0.2 : -0.2), measured});
            all.push_back(pairs.back());
        }
    }
    EXPECT_LT(*agreement(all)->proportionalPValue, 1e-6);
    EXPECT_NEAR(agreementByRuns(runs)->proportionalBias->value, 0.0, 0.05);
}

/// Of 95 % intervals.
struct Coverage
{
    double bias = 0.0;
    double limit = 0.0;
    double limitAsIndependent = 0.0;
    double slope = 0.0;
};

/// Normal offsets of the runs and normal scatter within them (SD 1), shared by readout and measured
/// alike, so that the true slope is 0.
Coverage coverageOf(int runs, double offsetSd)
{
    RandomSource random(61);
    constexpr int trials = 2000;
    const double truth = 2.0 + 1.959963984540054 * std::hypot(offsetSd, 1.0);
    Coverage coverage;
    for (int trial = 0; trial < trials; ++trial) {
        Runs campaign;
        std::vector<ReadoutPair> all;
        for (int run = 0; run < runs; ++run) {
            const double offset = offsetSd * normalDraw(random);
            auto& pairs = campaign.emplace_back();
            for (int i = 0; i < 5 + 5 * (run % 3); ++i) {
                const double centre = 20.0 + 20.0 * random.unit();
                const double half = std::sqrt(0.5);
                pairs.push_back({centre + 2.0 + offset + half * normalDraw(random),
                    centre + half * normalDraw(random)});
                all.push_back(pairs.back());
            }
        }
        const auto holds = [](const Estimate& estimate, double value) {
            const bool inside = *estimate.interval.low <= value && value <= *estimate.interval.high;
            return inside ? 1.0 / trials : 0.0;
        };
        const auto found = agreementByRuns(campaign);
        coverage.bias += holds(found->bias, 2.0);
        coverage.limit += holds(found->upperLimit, truth);
        coverage.limitAsIndependent += holds(agreement(all)->upperLimit, truth);
        coverage.slope += holds(*found->proportionalBias, 0.0);
    }
    return coverage;
}

TEST(AgreementByRuns, IntervalsHoldTheTruthAsOftenAsTheySay)
{
    for (const int runs : {3, 5, 10}) {
        for (const double offsetSd : {0.0, 1.0, 3.0}) {
            const Coverage coverage = coverageOf(runs, offsetSd);
            std::cout << runs << " runs, offsets of SD " << offsetSd << ": bias " << coverage.bias
                      << ", limit " << coverage.limit << " (as if independent "
                      << coverage.limitAsIndependent << "), slope " << coverage.slope << '\n';
            const double counting = 3.0 * std::sqrt(0.95 * 0.05 / 2000);
            EXPECT_GE(coverage.bias, 0.95 - counting);
            EXPECT_GE(coverage.limit, 0.95 - counting);
            EXPECT_GE(coverage.slope, 0.95 - counting);
        }
    }
}

} // namespace
} // namespace twinlamp::stats

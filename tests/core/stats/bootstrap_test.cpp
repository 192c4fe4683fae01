// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/bootstrap.h"
#include "core/stats/moments.h"
#include "tests/reference/compared_samples.h"

#include <cmath>
#include <functional>
#include <gtest/gtest.h>

namespace twinlamp::stats {
namespace {

using Values = std::vector<double>;
using Statistic = std::function<double(const Values&)>;

double meanOf(const Values& values) { return mean(values).value(); }

double varianceByCount(const Values& values)
{
    return sumOfSquaredDeviations(values) / static_cast<double>(values.size());
}

Values leavingOneOut(const Values& values, const Statistic& statistic)
{
    Values all;
    for (std::size_t i = 0; i < values.size(); ++i) {
        Values rest = values;
        rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(i));
        all.push_back(statistic(rest));
    }
    return all;
}

Values replicatesOf(const Values& values, const Statistic& statistic, std::uint64_t seed)
{
    RandomSource random(seed);
    Values all(usualReplicates);
    Values drawn(values.size());
    for (double& replicate : all) {
        for (double& value : drawn) {
            value = values[random.index(values.size())];
        }
        replicate = statistic(drawn);
    }
    return all;
}

TEST(BcaLevels, DeterministicRows)
{
    // SciPy norm.cdf and norm.ppf; the first row is Efron & Tibshirani's spatial example.
    struct Row
    {
        double bias;
        double acceleration;
        double confidence;
        double low;
        double high;
    };

    for (const Row row : {Row {0.146, 0.061, 0.90, 0.109856182556, 0.984477013084},
             {0.0, 0.0, 0.95, 0.025, 0.975}, {0.1, 0.05, 0.95, 0.0546100768984, 0.991723736869},
             {-0.2, 0.1, 0.95, 0.0240608896967, 0.973558143866},
             {0.146, 0.0, 0.90, 0.0880511983115, 0.973618380789}}) {
        const BcaLevels levels = bcaLevels(row.bias, row.acceleration, row.confidence);
        EXPECT_NEAR(levels.low, row.low, 1e-12);
        EXPECT_NEAR(levels.high, row.high, 1e-12);
    }
}

TEST(JackknifeAcceleration, PublishedSets)
{
    // NumPy on the published data; two samples by SciPy's own test suite.
    const auto alone = [](const Values& values, const Statistic& statistic) {
        return jackknifeAcceleration(std::vector<Values> {leavingOneOut(values, statistic)});
    };
    EXPECT_NEAR(alone(reference::spatial, varianceByCount), 0.0612401198123, 5e-13);
    EXPECT_NEAR(alone(reference::skewed, meanOf), 0.0615288696126, 5e-13);
    EXPECT_NEAR(alone(reference::treatedMice, meanOf), 0.0291205812628, 5e-13);
    EXPECT_NEAR(alone(reference::controlMice, meanOf), 0.0658752720663, 5e-13);
    // SciPy's data have 50 and 31 where the book's Table 2.1 has 51 and 30; the figure is for
    // those.
    Values control = reference::controlMice;
    control[4] = 50;
    control[5] = 31;
    const double centre = meanOf(control);
    const double other = meanOf(reference::treatedMice);
    const std::vector<Values> both {leavingOneOut(reference::treatedMice,
                                        [centre](const Values& v) { return meanOf(v) - centre; }),
        leavingOneOut(control, [other](const Values& v) { return other - meanOf(v); })};
    EXPECT_NEAR(jackknifeAcceleration(both), 0.011008228344026734, 1e-14);
}

TEST(JackknifeAcceleration, LawSchoolCorrelation)
{
    // NumPy: r 0.776374491289, a -0.0756715649379.
    const auto correlation = [](std::size_t without) {
        Values x = reference::lawTest;
        Values y = reference::lawGrade;
        if (without < x.size()) {
            x.erase(x.begin() + static_cast<std::ptrdiff_t>(without));
            y.erase(y.begin() + static_cast<std::ptrdiff_t>(without));
        }
        const double meanX = meanOf(x);
        const double meanY = meanOf(y);
        double products = 0.0;
        for (std::size_t i = 0; i < x.size(); ++i) {
            products += (x[i] - meanX) * (y[i] - meanY);
        }
        return products / std::sqrt(sumOfSquaredDeviations(x) * sumOfSquaredDeviations(y));
    };
    EXPECT_NEAR(correlation(99), 0.776374491289, 5e-13);
    Values leftOut;
    for (std::size_t i = 0; i < reference::lawTest.size(); ++i) {
        leftOut.push_back(correlation(i));
    }
    EXPECT_NEAR(jackknifeAcceleration(std::vector<Values> {leftOut}), -0.0756715649379, 5e-13);
}

TEST(BootstrapBias, CountsHalfOfTheTies)
{
    // All 7^7 resamples of the treated mice: 417784 below, 8120 equal (complete enumeration).
    Values replicates(417784, 0.0);
    replicates.resize(417784 + 8120, 1.0);
    replicates.resize(823543, 2.0);
    EXPECT_NEAR(bootstrapBias(replicates, 1.0).value(), 0.0306626001326, 5e-13);
    EXPECT_FALSE(bootstrapBias(Values {1, 2, 3}, 0.5).has_value());
}

TEST(BcaInterval, PublishedSets)
{
    // SciPy bootstrap(method = 'BCa'), mean of 20 runs of 200 000; tolerance 5 SD at 10 000.
    const Interval mean
        = bcaInterval(replicatesOf(reference::skewed, meanOf, 1), meanOf(reference::skewed),
            std::vector<Values> {leavingOneOut(reference::skewed, meanOf)}, 0.95);
    EXPECT_NEAR(mean.low.value(), 32.264, 5 * 0.293);
    EXPECT_NEAR(mean.high.value(), 91.429, 5 * 0.847);
    const Interval variance = bcaInterval(replicatesOf(reference::spatial, varianceByCount, 2),
        varianceByCount(reference::spatial),
        std::vector<Values> {leavingOneOut(reference::spatial, varianceByCount)}, 0.90);
    EXPECT_NEAR(variance.low.value(), 115.64, 5 * 0.81);
    EXPECT_NEAR(variance.high.value(), 261.33, 5 * 1.48);
    const Interval mice = bcaInterval(replicatesOf(reference::treatedMice, meanOf, 3),
        meanOf(reference::treatedMice),
        std::vector<Values> {leavingOneOut(reference::treatedMice, meanOf)}, 0.95);
    EXPECT_NEAR(mice.low.value(), 46.43, 5 * 0.45);
    EXPECT_NEAR(mice.high.value(), 138.29, 5 * 0.91);
}

TEST(PercentileInterval, PublishedSets)
{
    const Interval mean = percentileInterval(replicatesOf(reference::skewed, meanOf, 4), 0.95);
    EXPECT_NEAR(mean.low.value(), 28.856, 5 * 0.287);
    EXPECT_NEAR(mean.high.value(), 84.210, 5 * 0.466);
    const Interval variance
        = percentileInterval(replicatesOf(reference::spatial, varianceByCount, 5), 0.90);
    EXPECT_NEAR(variance.low.value(), 97.81, 5 * 0.82);
    EXPECT_NEAR(variance.high.value(), 235.64, 5 * 0.88);
}

TEST(BcaInterval, ReplicatesThatSayNothingGiveNoEnds)
{
    EXPECT_EQ(bcaInterval({1, 1, 1}, 2.0, {}, 0.95), Interval {});
    EXPECT_EQ(bcaInterval({1, INFINITY, 3}, 2.0, {}, 0.95), Interval {});
}

TEST(RandomSource, IsTheSameOnEveryMachine)
{
    // The 10000th number of the engine of the default seed is fixed by the C++ standard.
    std::mt19937_64 engine;
    engine.discard(9999);
    EXPECT_EQ(engine(), 9981545732273789042ULL);
    RandomSource random(5489);
    std::size_t last = 0;
    for (int i = 0; i < 10'000; ++i) {
        last = random.index(1000);
    }
    EXPECT_EQ(last, static_cast<std::size_t>((9981545732273789042ULL >> 32U) * 1000 >> 32U));
}

} // namespace
} // namespace twinlamp::stats

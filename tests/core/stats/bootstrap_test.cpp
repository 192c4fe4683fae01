// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/bootstrap.h"
#include "core/stats/moments.h"
#include "tests/reference/compared_samples.h"

#include <array>
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
}

/// Of the difference of two means, by the formula of two samples.
double accelerationOfDifference(const Values& x, const Values& y)
{
    const double ofX = meanOf(x);
    const double ofY = meanOf(y);
    const std::vector<Values> both {
        leavingOneOut(x, [ofY](const Values& v) { return meanOf(v) - ofY; }),
        leavingOneOut(y, [ofX](const Values& v) { return ofX - meanOf(v); })};
    return jackknifeAcceleration(both);
}

TEST(JackknifeAcceleration, TwoSamples)
{
    // NumPy 1.24: U of each sample, (n - 1) / n * (l.mean() - l) with l the differences leaving one
    // out, all in one array u; (u ** 3).sum() / 6 / (u ** 2).sum() ** 1.5.
    EXPECT_NEAR(accelerationOfDifference(reference::treatedMice, reference::controlMice),
        0.011019107671908968, 1e-14);
    // SciPy's test suite gives 0.011008228344026734, and reference/statistics.md 6.1 repeats it
    // with a standard error of 26.8989301672: SciPy's mice have 50 and 31 where the book's Table
    // 2.1 has 51 and 30 (for those sqrt(x.var() / 7 + y.var() / 9) is 26.908107910089).
    Values control = reference::controlMice;
    control[4] = 50;
    control[5] = 31;
    EXPECT_NEAR(
        accelerationOfDifference(reference::treatedMice, control), 0.011008228344026734, 1e-14);
    const auto error = [](const Values& y) {
        return std::sqrt(varianceByCount(reference::treatedMice) / 7.0 + varianceByCount(y) / 9.0);
    };
    EXPECT_NEAR(error(control), 26.8989301672, 5e-11);
    EXPECT_NEAR(error(reference::controlMice), 26.908107910089022, 1e-12);
}

/// Of the law school's pairs with these places.
double correlationOf(const std::vector<std::size_t>& places)
{
    Values x;
    Values y;
    for (const std::size_t place : places) {
        x.push_back(reference::lawTest[place]);
        y.push_back(reference::lawGrade[place]);
    }
    const double meanX = meanOf(x);
    const double meanY = meanOf(y);
    double products = 0.0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        products += (x[i] - meanX) * (y[i] - meanY);
    }
    return products / std::sqrt(sumOfSquaredDeviations(x) * sumOfSquaredDeviations(y));
}

std::vector<std::size_t> lawPlaces(std::size_t without)
{
    std::vector<std::size_t> places;
    for (std::size_t i = 0; i < reference::lawTest.size(); ++i) {
        if (i != without) {
            places.push_back(i);
        }
    }
    return places;
}

Values lawLeftOut()
{
    Values leftOut;
    for (std::size_t i = 0; i < reference::lawTest.size(); ++i) {
        leftOut.push_back(correlationOf(lawPlaces(i)));
    }
    return leftOut;
}

Values lawReplicates(std::uint64_t seed)
{
    RandomSource random(seed);
    Values all(usualReplicates);
    std::vector<std::size_t> drawn(reference::lawTest.size());
    for (double& replicate : all) {
        for (std::size_t& place : drawn) {
            place = random.index(drawn.size());
        }
        replicate = correlationOf(drawn);
    }
    return all;
}

TEST(JackknifeAcceleration, LawSchoolCorrelation)
{
    // NumPy: r 0.776374491289, a -0.0756715649379; standard error and bias by the jackknife.
    EXPECT_NEAR(correlationOf(lawPlaces(99)), 0.776374491289, 5e-13);
    const Values leftOut = lawLeftOut();
    EXPECT_NEAR(jackknifeAcceleration(std::vector<Values> {leftOut}), -0.0756715649379, 5e-13);
    EXPECT_NEAR(std::sqrt(14.0 / 15.0 * sumOfSquaredDeviations(leftOut)), 0.142518618602, 5e-13);
    EXPECT_NEAR(14.0 * (meanOf(leftOut) - correlationOf(lawPlaces(99))), -0.0064736230459, 5e-12);
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

TEST(BcaInterval, IdealBootstrapOfTheTreatedMice)
{
    // All 7^7 resamples, so that nothing is drawn: NumPy, complete enumeration. Means move in steps
    // of 1/7, and conventions of a quantile differ by a step. z0 with half of the ties.
    const Values& mice = reference::treatedMice;
    Values replicates;
    replicates.reserve(823'543);
    std::array<std::size_t, 7> places {};
    for (int k = 0; k < 823'543; ++k) {
        double sum = 0.0;
        int rest = k;
        for (std::size_t& place : places) {
            place = static_cast<std::size_t>(rest % 7);
            rest /= 7;
            sum += mice[place];
        }
        replicates.push_back(sum / 7.0);
    }
    EXPECT_NEAR(meanOf(replicates), 86.8571428571429, 1e-9);
    EXPECT_NEAR(std::sqrt(varianceByCount(replicates)), 23.3635234372996, 1e-9);
    const std::vector<Values> leftOut {leavingOneOut(mice, meanOf)};
    constexpr double step = 1.0 / 7.0 + 1e-9;
    const Interval ninety = bcaInterval(replicates, meanOf(mice), leftOut, 0.90);
    EXPECT_NEAR(ninety.low.value(), 52.2857142857, step);
    EXPECT_NEAR(ninety.high.value(), 130.1428571429, step);
    const Interval usual = bcaInterval(replicates, meanOf(mice), leftOut, 0.95);
    EXPECT_NEAR(usual.low.value(), 46.2857142857, step);
    EXPECT_NEAR(usual.high.value(), 138.2857142857, step);
    const BcaLevels levels = bcaLevels(0.0306626001326, jackknifeAcceleration(leftOut), 0.95);
    EXPECT_NEAR(levels.low, 0.0362463146846, 5e-13);
    EXPECT_NEAR(levels.high, 0.983974859999, 5e-13);
    const Interval percentile = percentileInterval(replicates, 0.95);
    EXPECT_NEAR(percentile.low.value(), 43.4285714286, step);
    EXPECT_NEAR(percentile.high.value(), 134.4285714286, step);
}

TEST(BcaInterval, LawSchoolCorrelation)
{
    // SciPy, as below. R's boot takes another acceleration: 0.3229 to 0.9408.
    const double r = correlationOf(lawPlaces(99));
    const std::vector<Values> leftOut {lawLeftOut()};
    const Interval usual = bcaInterval(lawReplicates(6), r, leftOut, 0.95);
    EXPECT_NEAR(usual.low.value(), 0.3330, 5 * 0.0113);
    EXPECT_NEAR(usual.high.value(), 0.9417, 5 * 0.0014);
    const Interval ninety = bcaInterval(lawReplicates(7), r, leftOut, 0.90);
    EXPECT_NEAR(ninety.low.value(), 0.4298, 5 * 0.0084);
    EXPECT_NEAR(ninety.high.value(), 0.9268, 5 * 0.0015);
    const Interval percentile = percentileInterval(lawReplicates(8), 0.95);
    EXPECT_NEAR(percentile.low.value(), 0.4601, 5 * 0.0056);
    EXPECT_NEAR(percentile.high.value(), 0.9619, 5 * 0.0008);
}

TEST(BcaInterval, DifferenceOfTheMice)
{
    // SciPy, as below, with its own mice (50 and 31).
    Values control = reference::controlMice;
    control[4] = 50;
    control[5] = 31;
    const Values& treated = reference::treatedMice;
    const Values ofTreated = replicatesOf(treated, meanOf, 9);
    Values differences = replicatesOf(control, meanOf, 10);
    for (std::size_t i = 0; i < differences.size(); ++i) {
        differences[i] = ofTreated[i] - differences[i];
    }
    const double ofControl = meanOf(control);
    const double other = meanOf(treated);
    const std::vector<Values> leftOut {
        leavingOneOut(treated, [ofControl](const Values& v) { return meanOf(v) - ofControl; }),
        leavingOneOut(control, [other](const Values& v) { return other - meanOf(v); })};
    const Interval interval = bcaInterval(differences, other - ofControl, leftOut, 0.95);
    EXPECT_NEAR(interval.low.value(), -19.371, 5 * 0.726);
    EXPECT_NEAR(interval.high.value(), 85.967, 5 * 0.892);
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

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/histogram.h"
#include "tests/reference/nist_univariate.h"

#include <gtest/gtest.h>
#include <numeric>
#include <random>
#include <vector>

namespace twinlamp::stats {
namespace {

std::vector<Latency> inNs(std::span<const int> values)
{
    std::vector<Latency> latencies;
    for (const int value : values) {
        latencies.push_back({value});
    }
    return latencies;
}

std::vector<Latency> inMs(std::initializer_list<double> values)
{
    std::vector<Latency> latencies;
    for (const double value : values) {
        latencies.push_back(latencyFromMs(value));
    }
    return latencies;
}

std::int64_t total(const Histogram& histogram)
{
    return std::accumulate(
        histogram.counts.begin(), histogram.counts.end(), histogram.under + histogram.over);
}

TEST(FreedmanDiaconisWidth, MatchesOtherSystems)
{
    // NumPy 1.24 histogram_bin_edges(.., "fd") and R nclass.FD.
    EXPECT_NEAR(freedmanDiaconisWidthNs(inNs(reference::michelso)), 36.6253897305, 5e-11);
    EXPECT_NEAR(freedmanDiaconisWidthNs(inNs(reference::box90)), 134.890739442, 5e-10);
    // Z10 in tenths.
    EXPECT_NEAR(freedmanDiaconisWidthNs(
                    inNs(std::vector<int> {230, 255, 271, 242, 319, 228, 264, 283, 249, 602})),
        33.6515190437, 5e-11);
    EXPECT_NEAR(freedmanDiaconisWidthNs(inNs(std::vector<int> {1, 2, 3, 4, 5, 6, 7, 8, 9, 10})),
        4.17742995025, 5e-12);
}

TEST(RoundedWidth, TakesTheNearestOfOneTwoFive)
{
    EXPECT_EQ(roundedWidth(36.6), Latency {50});
    EXPECT_EQ(roundedWidth(30.0), Latency {20});
    EXPECT_EQ(roundedWidth(134.9), Latency {100});
    EXPECT_EQ(roundedWidth(145.0), Latency {200});
    EXPECT_EQ(roundedWidth(200'000.0), Latency {200'000});
    EXPECT_EQ(roundedWidth(0.2), Latency {1});
}

TEST(SharedAxis, EdgesAreMultiplesOfTheWidth)
{
    const std::vector<std::vector<Latency>> rows {
        inMs({21.3, 22.8, 24.1, 25.0, 26.2, 23.3}), inMs({18.2, 19.9, 20.4, 22.2, 21.7})};
    const HistogramAxis axis = sharedAxis(rows);
    ASSERT_GT(axis.bins, 0U);
    EXPECT_EQ(axis.first.ns % axis.width.ns, 0);
    EXPECT_LE(axis.first, latencyFromMs(18.2));
    EXPECT_GT(axis.end(), latencyFromMs(26.2));
    EXPECT_LE(axis.end() - axis.width, latencyFromMs(26.2));
}

TEST(SharedAxis, RowsFarApartDoNotCoarsenTheBins)
{
    const std::vector<Latency> row = inMs({21.3, 22.8, 24.1, 25.0, 26.2, 23.3});
    std::vector<Latency> farRow;
    for (const Latency value : row) {
        farRow.push_back(value + latencyFromMs(100.0));
    }
    // Both rows deviate alike from their medians: only the count differs, by a factor of 2.
    const Latency alone = sharedAxis(std::vector<std::vector<Latency>> {row, row}).width;
    EXPECT_EQ(sharedAxis(std::vector<std::vector<Latency>> {row, farRow}).width, alone);
}

TEST(SharedAxis, NegativeLatenciesHaveBins)
{
    const std::vector<std::vector<Latency>> rows {{Latency {-7}, Latency {-3}, Latency {4}}};
    const HistogramAxis axis = sharedAxis(rows);
    EXPECT_LE(axis.first, Latency {-7});
    const Histogram histogram = histogramOn(axis, rows[0]);
    EXPECT_EQ(histogram.under + histogram.over, 0);
    EXPECT_EQ(total(histogram), 3);
}

TEST(SharedAxis, OneFarValueDoesNotCoarsenTheRest)
{
    std::vector<Latency> row = inMs({20.1, 20.2, 20.3, 20.4, 20.5, 20.6, 20.7, 20.8});
    row.push_back(latencyFromMs(9000.0));
    const HistogramAxis axis = sharedAxis(std::vector<std::vector<Latency>> {row}, 100);
    EXPECT_EQ(axis.bins, 100U);
    EXPECT_LT(toMs(axis.width), 0.6);
    const Histogram histogram = histogramOn(axis, row);
    EXPECT_EQ(histogram.over, 1);
    EXPECT_EQ(histogram.under, 0);
    EXPECT_EQ(total(histogram), 9);
}

TEST(SharedAxis, EqualValuesHaveOneBin)
{
    const std::vector<std::vector<Latency>> rows {inMs({25.0, 25.0, 25.0})};
    const HistogramAxis axis = sharedAxis(rows);
    EXPECT_EQ(axis.bins, 1U);
    EXPECT_EQ(axis.width, latencyFromMs(0.1));
    EXPECT_EQ(histogramOn(axis, rows[0]).counts.front(), 3);
}

TEST(SharedAxis, NoValuesGiveNoBins)
{
    EXPECT_EQ(sharedAxis({}).bins, 0U);
    EXPECT_EQ(histogramOn(sharedAxis({}), {}).counts.size(), 0U);
}

TEST(HistogramOn, ValueOnAnEdgeIsInTheBinThatStartsThere)
{
    const HistogramAxis axis {Latency {100}, Latency {10}, 3};
    const Histogram histogram = histogramOn(
        axis, std::vector<Latency> {{99}, {100}, {109}, {110}, {119}, {120}, {129}, {130}, {1000}});
    EXPECT_EQ(histogram.counts, (std::vector<std::int64_t> {2, 2, 2}));
    EXPECT_EQ(histogram.under, 1);
    EXPECT_EQ(histogram.over, 2);
}

TEST(HistogramOn, CountsAddUpWhateverTheAxis)
{
    std::mt19937_64 random(20240917);
    std::uniform_int_distribution<std::int64_t> any(-50'000'000, 50'000'000);
    for (int round = 0; round < 200; ++round) {
        std::vector<Latency> values;
        for (int i = 0; i < 50; ++i) {
            values.push_back({any(random)});
        }
        const HistogramAxis axis {Latency {any(random)}, Latency {1 + std::abs(any(random)) / 100},
            static_cast<std::size_t>(round)};
        ASSERT_EQ(total(histogramOn(axis, values)), 50) << "round " << round;
    }
}

} // namespace
} // namespace twinlamp::stats

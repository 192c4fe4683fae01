// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/plots/histogram_geometry.h"

#include <gtest/gtest.h>
#include <numeric>

namespace twinlamp::ui {

namespace {

std::vector<Latency> inMs(const std::vector<double>& values)
{
    std::vector<Latency> latencies;
    for (const double value : values) {
        latencies.push_back(latencyFromMs(value));
    }
    return latencies;
}

} // namespace

TEST(HistogramMapping, ShowsEveryBinInsideItsPixels)
{
    const stats::HistogramAxis axis {latencyFromMs(20.0), latencyFromMs(0.5), 30};
    const AxisMapping mapping = histogramMapping(axis, 10.0, 210.0);
    EXPECT_GT(mapping.toPx(20.0), 10.0);
    EXPECT_LT(mapping.toPx(35.0), 210.0);
}

TEST(HistogramMapping, NarrowDataIsNotBlownUp)
{
    const stats::HistogramAxis axis {latencyFromMs(25.0), latencyFromMs(0.1), 2};
    const AxisMapping mapping = histogramMapping(axis, 0.0, 100.0);
    EXPECT_GE(mapping.high - mapping.low, 4.0);
    EXPECT_NEAR(mapping.toPx(25.1), 50.0, 1e-9);
}

TEST(HistogramBars, CountsAddUpAndTheTallestReachesTheTop)
{
    const auto values = inMs({20.1, 20.2, 20.3, 21.4, 21.6, 24.9});
    const auto histogram = stats::histogramOn({latencyFromMs(20.0), latencyFromMs(1.0), 5}, values);
    const auto bars
        = histogramBars(histogram, {20.0, 25.0, 0.0, 100.0}, 4.0, 40.0, tallestBin({{histogram}}));
    const auto total = std::accumulate(bars.begin(), bars.end(), std::int64_t {0},
        [](std::int64_t sum, const HistogramBar& bar) { return sum + bar.count; });
    EXPECT_EQ(total, 6);
    ASSERT_EQ(bars.size(), 3U); // empty bins have no bar
    EXPECT_DOUBLE_EQ(bars[0].rect.top(), 4.0);
    EXPECT_DOUBLE_EQ(bars[0].rect.bottom(), 40.0);
    EXPECT_DOUBLE_EQ(bars[2].rect.left(), 80.0);
}

TEST(HistogramBars, OnePressStaysVisibleBesideMany)
{
    stats::Histogram histogram {{latencyFromMs(0.0), latencyFromMs(0.01), 10'000},
        std::vector<std::int64_t>(10'000, 0), 0, 0};
    histogram.counts[5'000] = 1;
    const auto bars = histogramBars(histogram, {0.0, 100.0, 0.0, 200.0}, 0.0, 30.0, 1'000);
    ASSERT_EQ(bars.size(), 1U);
    EXPECT_GE(bars[0].rect.width(), 1.0);
    EXPECT_GE(bars[0].rect.height(), 2.0);
}

} // namespace twinlamp::ui

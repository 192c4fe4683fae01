// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/kolmogorov_smirnov.h"
#include "tests/reference/compared_samples.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <random>

namespace twinlamp::stats {
namespace {

double limitChance(const TwoSamples& samples)
{
    const auto m = static_cast<double>(samples.x.size());
    const auto n = static_cast<double>(samples.y.size());
    return kolmogorovAbove(kolmogorovSmirnov(samples)->distance * std::sqrt(m * n / (m + n)));
}

TEST(KolmogorovSmirnov, Feedback)
{
    // p = .0524: Hollander, Wolfe & Chicken, ex. 5.4; R ks.test, exact and not.
    const TwoSamples samples {reference::feedback, reference::noFeedback};
    const auto test = kolmogorovSmirnov(samples);
    ASSERT_TRUE(test);
    EXPECT_NEAR(test->distance, 0.6, 1e-15);
    EXPECT_TRUE(test->isExact);
    EXPECT_NEAR(test->pValue, 0.0524475524476, 5e-13);
    EXPECT_NEAR(limitChance(samples), 0.0546463301139, 5e-13);
}

TEST(KolmogorovSmirnov, TiesAreKept)
{
    // D = 3/7, p = 0.2424242: Schroer & Trenkler 1995, in R's help.
    const std::vector<double> x {1, 2, 2, 3, 3};
    const std::vector<double> y {1, 2, 3, 3, 4, 5, 6};
    const auto test = kolmogorovSmirnov({x, y});
    EXPECT_NEAR(test->distance, 3.0 / 7.0, 1e-15);
    EXPECT_NEAR(test->pValue, 0.242424242424, 5e-13);
    // reference/statistics.md 5.4 has R's 0.657639843157, whose series ends at terms of 1e-8. SciPy
    // 1.10: special.kolmogorov(3 / 7 * sqrt(35 / 12)) = 0.6576398397424086.
    EXPECT_NEAR(limitChance({x, y}), 0.657639843157, 1e-8);
    EXPECT_NEAR(limitChance({x, y}), 0.6576398397424086, 1e-14);
}

TEST(KolmogorovSmirnov, Ozone)
{
    const TwoSamples samples {reference::ozoneByMonth[0], reference::ozoneByMonth[3]};
    const auto test = kolmogorovSmirnov(samples);
    EXPECT_NEAR(test->distance, 0.538461538462, 5e-13);
    EXPECT_NEAR(test->pValue, 0.000691885049, 5e-13);
    EXPECT_NEAR(limitChance(samples), 0.00106443157143, 1.1e-11);
}

TEST(KolmogorovSmirnov, EdgesAreSimple)
{
    const std::vector<double> one {1, 2, 3};
    EXPECT_EQ(kolmogorovSmirnov({one, one})->pValue, 1.0);
    EXPECT_EQ(kolmogorovSmirnov({one, one})->distance, 0.0);
    EXPECT_FALSE(kolmogorovSmirnov({one, {}}).has_value());
    // Apart: 2 of the 20 orders.
    const std::vector<double> other {4, 5, 6};
    EXPECT_NEAR(kolmogorovSmirnov({one, other})->pValue, 0.1, 1e-14);
}

TEST(KolmogorovAbove, BothSeriesMeet)
{
    EXPECT_NEAR(kolmogorovAbove(1.0 - 1e-12), kolmogorovAbove(1.0), 1e-11);
    EXPECT_EQ(kolmogorovAbove(0.0), 1.0);
    EXPECT_NEAR(kolmogorovAbove(0.05), 1.0, 1e-15);
}

TEST(KolmogorovSmirnov, EqualSettingsAreSeldomToldApart)
{
    std::mt19937_64 random(13);
    std::uniform_real_distribution<> value(0.0, 1.0);
    int told = 0;
    for (int trial = 0; trial < 1000; ++trial) {
        std::vector<double> x(120);
        std::vector<double> y(120);
        std::ranges::generate(x, [&] { return value(random); });
        std::ranges::generate(y, [&] { return value(random); });
        told += kolmogorovSmirnov({x, y})->pValue < 0.05 ? 1 : 0;
    }
    EXPECT_LE(told, 70) << "seed 13";
}

} // namespace
} // namespace twinlamp::stats

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/panel/row_shares.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::panel {

namespace {

constexpr double slope = 1.4;
constexpr double perPicture = 2.1;

PressShares pressAt(double atStart, std::mt19937& random, double noise)
{
    std::normal_distribution<double> normal(0.0, noise);
    PressShares press;
    press.startMs = 100.0;
    for (int b = 0; b < 12; ++b) {
        const double position = (b + 0.5) / 12.0;
        BandShare band {position, {}};
        for (const int picture : {-1, 0}) {
            band.made[static_cast<std::size_t>(picture + 1)]
                = std::clamp(atStart + slope * position + perPicture * picture, 0.0, 1.0)
                + normal(random);
        }
        press.bands.push_back(band);
    }
    return press;
}

std::vector<PressShares> presses(std::mt19937& random, double noise)
{
    std::uniform_real_distribution<double> anywhere(-slope, perPicture - 0.3);
    std::vector<PressShares> made;
    for (int i = 0; i < 20; ++i) {
        made.push_back(pressAt(anywhere(random), random, noise));
    }
    return made;
}

TEST(RowShares, FindSlopeAndStartOfEveryPress)
{
    std::mt19937 random(3);
    for (int clip = 0; clip < 5; ++clip) {
        auto all = presses(random, 0.01);
        all.push_back(pressAt(0.05, random, 0.01));
        const auto rows = fitRowShares(all);
        ASSERT_TRUE(rows);
        EXPECT_NEAR(rows->slope, slope, 0.06);
        // Told only by presses whose rows were caught in two pictures: few.
        EXPECT_NEAR(rows->perPicture, perPicture, 0.8);
        EXPECT_NEAR(rows->atStart.back(), 0.05, 0.03);
        EXPECT_LT(rows->residual, 0.02);
    }
    EXPECT_FALSE(fitRowShares({}));
}

TEST(RowSpan, OfOneSweepIsTheScanAndTheResponse)
{
    // Every row sees the lamp for all of its exposure: picture 0 brings the whole step.
    const RowShares rows {0.5, perPicture, {1.0}, 0.0};
    const SweepSpan span = rowSpan(rows, 0, 100.0, {8.0, true, 12.0, 2.0});
    const double response = -2.0 * std::log(0.9);
    EXPECT_NEAR(span.firstMs, 100.0 + response, 1e-9);
    EXPECT_NEAR(span.lastMs, 108.0 + response, 1e-9);
}

TEST(RowSpan, EndsOneIntervalLaterWhereRowsWereTooEarlyForTheLamp)
{
    // Rows below a tenth in picture 0 lie before position (0.1 + 0.6) / 1.4 = 0.5.
    const RowShares rows {slope, perPicture, {-0.6}, 0.0};
    const SweepSpan down = rowSpan(rows, 0, 100.0, {8.0, true, 12.0, 0.0});
    EXPECT_NEAR(down.firstMs, 104.0, 0.1);
    EXPECT_NEAR(down.lastMs, 112.0 + 4.0, 0.1);
    // A panel swept the other way shows those rows last.
    const SweepSpan up = rowSpan(rows, 0, 100.0, {8.0, false, 12.0, 0.0});
    EXPECT_NEAR(up.firstMs, 100.0, 0.1);
    EXPECT_NEAR(up.lastMs, 120.0, 0.1);
}

TEST(RowSpan, BeginsWithThePictureBeforeWhereItBroughtATenth)
{
    // Rows behind position (2.1 + 0.1 - 1.5) / 1.4 = 0.5 were lit by a tenth one picture earlier.
    const RowShares rows {slope, perPicture, {1.5}, 0.0};
    const SweepSpan span = rowSpan(rows, 0, 100.0, {8.0, true, 12.0, 0.0});
    EXPECT_NEAR(span.firstMs, 92.0, 0.1);
    EXPECT_NEAR(span.lastMs, 104.0, 0.1);
}

} // namespace

} // namespace twinlamp::panel

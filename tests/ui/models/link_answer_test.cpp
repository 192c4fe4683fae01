// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/models/link_answer.h"

#include <gtest/gtest.h>
#include <numeric>

namespace twinlamp::ui {

namespace {

double sum(const std::vector<double>& shares)
{
    return std::accumulate(shares.begin(), shares.end(), 0.0);
}

} // namespace

TEST(LinkAnswer, ClosedFormAndSimulationAgreeOnOneAxis)
{
    const LinkAnswer answer = reckonLinks({}, std::nullopt);
    ASSERT_EQ(answer.chart.curves.size(), 2U);
    ASSERT_GT(answer.chart.axis.bins, 5U);
    for (const ChartCurve& curve : answer.chart.curves) {
        ASSERT_EQ(curve.binShares.size(), answer.chart.axis.bins);
        ASSERT_EQ(curve.simulatedShares.size(), answer.chart.axis.bins);
        EXPECT_GT(sum(curve.binShares), 0.99) << "all but the outermost thousandths is shown";
        for (std::size_t bin = 0; bin < curve.binShares.size(); ++bin) {
            // Four standard errors of a share of 20000 presses, 0.5 at the most.
            EXPECT_NEAR(curve.binShares[bin], curve.simulatedShares[bin], 0.0142);
        }
    }
}

TEST(LinkAnswer, MeasuredSettingGivesTheBinsTheirWidth)
{
    ChartSeries measured {{}, QStringLiteral("bench"),
        {{QStringLiteral("run 1"), {18.0, 22.0, 25.0, 31.0, 33.0, 40.0}, 0}}};
    const LinkAnswer answer = reckonLinks({}, measured);
    EXPECT_EQ(answer.chart.axis.width, axisOf({measured}).width);
    ASSERT_EQ(answer.chart.series.size(), 1U);
    EXPECT_DOUBLE_EQ(sum(binSharesOf(measured, answer.chart.axis)), 1.0)
        << "no measured press is cut off";
}

TEST(LinkAnswer, HalfThePixelsAtOneBitRateChangeTheBitsOfAPixelAlone)
{
    std::array<WhatIfLink, 2> links;
    links[1].model.picture = link::PictureSize {640.0, 720.0};
    const LinkAnswer answer = reckonLinks(links, std::nullopt);
    EXPECT_DOUBLE_EQ(
        *answer.links[1].figures->bitsPerPixel, 2.0 * *answer.links[0].figures->bitsPerPixel);
    EXPECT_DOUBLE_EQ(answer.links[1].figures->sendMs, answer.links[0].figures->sendMs);
    EXPECT_EQ(linkTable(answer).columns.size(), 3);
}

TEST(LinkAnswer, PowerTakesThePlaceOfTheLoss)
{
    WhatIfLink link;
    link.powerMw = 20.0;
    link.radio.path.distanceKm = 2.0;
    const double before = lossOf(link);
    link.powerMw = 200.0;
    EXPECT_LT(lossOf(link), before);
    link.powerMw.reset();
    EXPECT_EQ(lossOf(link), link.model.loss);
}

TEST(LinkAnswer, ValueOutOfItsBoundsIsASentenceAndTheOtherLinkStands)
{
    std::array<WhatIfLink, 2> links;
    links[0].model.bitRateMbit = 0.0;
    const LinkAnswer answer = reckonLinks(links, std::nullopt);
    EXPECT_FALSE(answer.links[0].error.isEmpty());
    EXPECT_FALSE(answer.links[0].figures);
    ASSERT_TRUE(answer.links[1].figures);
    EXPECT_TRUE(linkWords(answer).front().startsWith(QStringLiteral("Link 1: ")));
    EXPECT_GT(answer.chart.axis.bins, 0U);
}

TEST(LinkAnswer, LinkThatCannotKeepUpHasNoDistributionAndSaysWhy)
{
    std::array<WhatIfLink, 2> links;
    links[0].model.bitRateMbit = 100.0; // into 20 MHz at 2 bit/s/Hz: 40 Mbit/s
    const LinkAnswer answer = reckonLinks(links, std::nullopt);
    EXPECT_FALSE(answer.links[0].closed);
    EXPECT_FALSE(linkWords(answer).filter(QStringLiteral("every frame is late")).isEmpty());
}

} // namespace twinlamp::ui

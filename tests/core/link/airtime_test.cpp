// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/link/airtime.h"

#include <algorithm>
#include <gtest/gtest.h>
#include <limits>
#include <vector>

namespace twinlamp::link {
namespace {

LinkModel model(double bitRateMbit, double frameRateHz)
{
    LinkModel link;
    link.bitRateMbit = bitRateMbit;
    link.frameRateHz = frameRateHz;
    return link;
}

TEST(LinkFigures, BitsOfAFrame)
{
    // Bytes a frame at 30, 60, 100 and 120 frames/s.
    struct Row
    {
        double rate;
        std::vector<double> bytes;
    };

    const std::vector<Row> rows {{10, {41666.667, 20833.333, 12500, 10416.667}},
        {25, {104166.667, 52083.333, 31250, 26041.667}},
        {50, {208333.333, 104166.667, 62500, 52083.333}}};
    const std::vector<double> frameRates {30, 60, 100, 120};
    for (const Row& row : rows) {
        for (std::size_t i = 0; i < frameRates.size(); ++i) {
            const auto figures = linkFigures(model(row.rate, frameRates[i]));
            ASSERT_TRUE(figures);
            EXPECT_NEAR(figures->bitsPerFrame / 8.0, row.bytes[i], 5e-4);
        }
    }
}

TEST(LinkFigures, FrameSentAtItsOwnBitRateTakesItsInterval)
{
    const auto figures = linkFigures(model(25, 30));
    ASSERT_TRUE(figures);
    EXPECT_NEAR(figures->sendMs, 33.333333, 5e-7);
    EXPECT_EQ(figures->slackMs, 0.0);
    EXPECT_EQ(figures->lateShare, 0.0);
    EXPECT_EQ(figures->assumptions.front().id, "link-air-rate-is-bit-rate");
    for (const Sentence& sentence : figures->assumptions) {
        EXPECT_NE(english(sentence), sentence.id);
    }
}

TEST(LinkFigures, SendTime)
{
    // 50000 byte at 25 Mbit/s take 16 ms, at 50 Mbit/s 8 ms.
    LinkModel link = model(20, 50); // 400 kbit a frame
    link.airRateMbit = 25;
    EXPECT_NEAR(linkFigures(link)->sendMs, 16.0, 1e-12);
    EXPECT_NEAR(linkFigures(link)->slackMs, 4.0, 1e-12);
    link.airRateMbit = 50;
    EXPECT_NEAR(linkFigures(link)->sendMs, 8.0, 1e-12);
    // Twice the channel width, half the time.
    link.airRateMbit.reset();
    link.channelWidthMhz = 20;
    const double narrow = linkFigures(link)->sendMs;
    link.channelWidthMhz = 40;
    EXPECT_NEAR(linkFigures(link)->sendMs, narrow / 2.0, 1e-12);
    EXPECT_EQ(linkFigures(link)->airRateMbit, 80.0);
}

TEST(LinkFigures, BitsOfAPixel)
{
    LinkModel link = model(24, 60);
    EXPECT_EQ(linkFigures(link)->bitsPerPixel, std::nullopt);
    link.picture = PictureSize {800, 500};
    EXPECT_NEAR(*linkFigures(link)->bitsPerPixel, 1.0, 1e-12);
    link.picture = PictureSize {400, 500}; // half the pixels at equal bit rate
    EXPECT_NEAR(*linkFigures(link)->bitsPerPixel, 2.0, 1e-12);
}

TEST(LinkFigures, RepeatsInAllowance)
{
    LinkModel link = model(20, 50);
    link.airRateMbit = 50; // 8 ms of 20 ms
    link.loss = 0.1;
    EXPECT_EQ(linkFigures(link)->repeatsInAllowance, 0);
    link.roundTripMs = 5.0;
    EXPECT_EQ(linkFigures(link)->repeatsInAllowance, 2); // 12 ms of slack
    link.allowanceMs = 4.9;
    EXPECT_EQ(linkFigures(link)->repeatsInAllowance, 0);
    link.allowanceMs = 30.0;
    EXPECT_EQ(linkFigures(link)->repeatsInAllowance, 6);
    link.roundTripMs = 0.1;
    link.allowanceMs = 0.3;
    EXPECT_EQ(linkFigures(link)->repeatsInAllowance, 3);
}

TEST(LinkFigures, LateShareFallsWithTheRepeats)
{
    LinkModel link = model(12, 100);
    link.airRateMbit = 60; // 15000 byte: 10 packets of 1500, 2 ms
    link.loss = 0.1;
    link.roundTripMs = 3.0;
    link.allowanceMs = 0.0;
    const auto none = linkFigures(link);
    ASSERT_TRUE(none);
    EXPECT_EQ(none->packets, 10);
    EXPECT_NEAR(none->lateShare, 1.0 - 0.348678440, 5e-10);
    EXPECT_EQ(none->meanTries, 1.0);
    link.allowanceMs = 3.0;
    EXPECT_NEAR(linkFigures(link)->lateShare, 1.0 - 0.904382075, 5e-10);
    link.allowanceMs = 6.0;
    const auto two = linkFigures(link);
    EXPECT_NEAR(two->lateShare, 1.0 - 0.990044880, 5e-10);
    EXPECT_NEAR(two->meanTries, 1.11, 1e-12); // at most 3 tries
}

TEST(LinkFigures, LinkThatCannotKeepUp)
{
    LinkModel link = model(60, 100);
    link.airRateMbit = 50;
    const auto over = linkFigures(link);
    EXPECT_NEAR(over->slackMs, -2.0, 1e-12);
    EXPECT_EQ(over->lateShare, 1.0);
    link.airRateMbit = 61;
    link.loss = 0.3;
    link.roundTripMs = 1.0;
    link.allowanceMs = 20.0;
    const auto byRepeats = linkFigures(link);
    EXPECT_GT(byRepeats->airShare, 1.0);
    EXPECT_LT(byRepeats->lateShare, 1.0);
    EXPECT_EQ(
        std::ranges::count(byRepeats->assumptions, "link-overrun-by-repeats", &Sentence::id), 1);
}

TEST(DoneWithin, PublishedArithmetic)
{
    // Closed form, with a Monte Carlo beside it in the reference notes.
    struct Row
    {
        std::int64_t packets;
        double loss;
        double rounds;
        double first;
        double second;
        double third;
    };

    for (const Row row : {Row {10, 0.01, 1.096627576, 0.904382075, 0.999000450, 0.999990000},
             {10, 0.1, 1.758005261, 0.348678440, 0.904382075, 0.990044880},
             {35, 0.01, 1.300081714, 0.703447695, 0.996505943, 0.999965001},
             {35, 0.1, 2.309815128, 0.025031555, 0.703447695, 0.965588507},
             {70, 0.05, 2.142316011, 0.027583690, 0.839273103, 0.991287628}}) {
        EXPECT_NEAR(meanRounds(row.packets, row.loss), row.rounds, 5e-10);
        EXPECT_NEAR(doneWithin(1, row.packets, row.loss), row.first, 5e-10);
        EXPECT_NEAR(doneWithin(2, row.packets, row.loss), row.second, 5e-10);
        EXPECT_NEAR(doneWithin(3, row.packets, row.loss), row.third, 5e-10);
    }
    // One packet: mean tries 1 / (1 - p).
    for (const double loss : {0.01, 0.05, 0.1, 0.2, 0.5}) {
        EXPECT_NEAR(meanRounds(1, loss), 1.0 / (1.0 - loss), 1e-12);
    }
    EXPECT_EQ(doneWithin(0, 5, 0.1), 0.0);
    EXPECT_EQ(meanRounds(7, 0.0), 1.0);
}

TEST(LinkFigures, RefusesWhatIsNoLink)
{
    EXPECT_EQ(
        linkFigures(model(0, 60)).error().detail, "the bit rate is 0; it has to be larger than 0");
    EXPECT_EQ(linkFigures(model(25, -1)).error().where, Stage::Link);
    LinkModel link = model(25, 60);
    link.loss = 1.0;
    EXPECT_EQ(
        linkFigures(link).error().detail, "the loss is 1; it has to be 0 or more and below 1");
    link = model(25, 60);
    link.packetBytes = 0.5;
    EXPECT_FALSE(linkFigures(link).has_value());
    link = model(1e12, 60);
    EXPECT_FALSE(linkFigures(link).has_value());
    link = model(25, 60);
    link.roundTripMs = 0.0;
    EXPECT_FALSE(linkFigures(link).has_value());
    link = model(25, std::numeric_limits<double>::quiet_NaN());
    EXPECT_FALSE(linkFigures(link).has_value());
}

} // namespace
} // namespace twinlamp::link

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/link/radio.h"

#include <gtest/gtest.h>
#include <utility>
#include <vector>

namespace twinlamp::link {
namespace {

constexpr double printed = 5e-7; // six decimals

TEST(Power, MilliwattsAndDbm)
{
    const std::vector<std::pair<double, double>> rows {{1, 0}, {10, 10}, {25, 13.979400}, {100, 20},
        {200, 23.010300}, {500, 26.989700}, {700, 28.450980}, {1000, 30}, {1200, 30.791812}};
    for (const auto& [milliwatt, dbm] : rows) {
        EXPECT_NEAR(dbmOf(milliwatt), dbm, printed);
        EXPECT_NEAR(milliwattOf(dbmOf(milliwatt)), milliwatt, milliwatt * 1e-14);
    }
    EXPECT_NEAR(milliwattOf(-90.0), 1e-9, 1e-23);
    EXPECT_NEAR(milliwattOf(13.98), 25.003454, printed);
    EXPECT_NEAR(milliwattOf(14.0), 25.118864, printed);
    EXPECT_NEAR(milliwattOf(23.0), 199.526231, printed);
    EXPECT_NEAR(milliwattOf(33.0), 1995.262315, printed);
}

TEST(FreeSpaceLoss, MatchesExactFormula)
{
    struct Row
    {
        Path path;
        double lossDb;
        double withPrintedConstant;
    };

    const std::vector<Row> rows {{{5658, 0.1}, 87.501042, 87.453259},
        {{5658, 1}, 107.501042, 107.453259}, {{5800, 0.01}, 67.716343, 67.668560},
        {{5800, 0.1}, 87.716343, 87.668560}, {{5800, 0.5}, 101.695743, 101.647960},
        {{5800, 1}, 107.716343, 107.668560}, {{5800, 2}, 113.736943, 113.689160},
        {{5800, 5}, 121.695743, 121.647960}, {{5800, 10}, 127.716343, 127.668560},
        {{5917, 1}, 107.889815, 107.842031}};
    for (const Row& row : rows) {
        EXPECT_NEAR(freeSpaceLossDb(row.path), row.lossDb, printed);
        // ITU-R P.525 prints 32.4 for 32.447783.
        EXPECT_NEAR(freeSpaceLossDb(row.path) - 0.047783, row.withPrintedConstant, 2 * printed);
    }
    // Documentation of a signal-processing library, and of a toolbox to 4 decimals.
    EXPECT_NEAR(freeSpaceLossDb({1000.0, 1.0}), 92.44778322188337, 1e-12);
    EXPECT_NEAR(freeSpaceLossDb({10000.0, 10.0}), 132.4478, 5e-5);
}

TEST(FreeSpaceLoss, GrowsBySixDecibelsADoubling)
{
    const double once = freeSpaceLossDb({5800.0, 0.3});
    EXPECT_NEAR(freeSpaceLossDb({5800.0, 0.6}) - once, 6.020600, printed);
    EXPECT_NEAR(freeSpaceLossDb({11600.0, 0.3}) - once, 6.020600, printed);
}

TEST(ReceivedPower, AddsUp)
{
    EXPECT_NEAR(receivedDbm({dbmOf(200.0), 4.0}, {5800.0, 1.0}), 23.010300 + 4 - 107.716343, 1e-6);
    EXPECT_NEAR(receivedDbm({dbmOf(25.0), 4.0}, {5800.0, 1.0}), -89.736943, 1e-6);
}

TEST(ThermalNoise, DoublesWithTheWidth)
{
    EXPECT_NEAR(thermalNoiseDbm(20.0), -100.964887, printed);
    EXPECT_NEAR(thermalNoiseDbm(40.0), -97.954587, printed);
}

TEST(PacketLoss, FallsWithTheMargin)
{
    const LossCurve curve {3.0, 1.5};
    EXPECT_EQ(packetLoss(3.0, curve), 0.5);
    EXPECT_NEAR(packetLoss(3.0 + 1.5 * 2.1972245773, curve), 0.1, 1e-10);
    EXPECT_NEAR(packetLoss(-50.0, curve), 1.0, 1e-12);
    EXPECT_LT(packetLoss(60.0, curve), 1e-15);
}

TEST(Margin, AddsUp)
{
    RadioLink radio;
    radio.transmission = {dbmOf(200.0), 4.0};
    radio.path = {5800.0, 1.0};
    radio.channelWidthMhz = 20.0;
    radio.noiseFigureDb = 5.0;
    radio.neededSnrDb = 12.0;
    const double margin = marginDb(radio);
    EXPECT_NEAR(margin, 23.010300 + 4 - 107.716343 + 100.964887 - 5 - 12, 2e-6);
    radio.channelWidthMhz = 40.0;
    EXPECT_NEAR(marginDb(radio), margin - 3.010300, 1e-6);
    radio.transmission.powerDbm = dbmOf(100.0);
    EXPECT_NEAR(marginDb(radio), margin - 6.020600, 1e-6);
    radio.path.distanceKm = 0.5;
    EXPECT_NEAR(marginDb(radio), margin, 1e-6);
}

TEST(PacketLoss, OfBitErrors)
{
    EXPECT_NEAR(packetLossOfBitErrors(1e-6, 12000), 0.011928293, 5e-10);
    EXPECT_NEAR(packetLossOfBitErrors(1e-5, 12000), 0.113080095, 5e-10);
    EXPECT_NEAR(packetLossOfBitErrors(1e-5, 400000), 0.981684727, 5e-10);
    EXPECT_EQ(packetLossOfBitErrors(0.0, 1e9), 0.0);
}

} // namespace
} // namespace twinlamp::link

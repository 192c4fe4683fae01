// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/link/channels.h"
#include "core/link/radio.h"

#include <gtest/gtest.h>

namespace twinlamp::link {
namespace {

TEST(RaceChannels, AreEvenlySpaced)
{
    const auto& channels = raceChannels();
    EXPECT_EQ(channels.front(), (RaceChannel {"R1", 5658.0}));
    EXPECT_EQ(channels.back(), (RaceChannel {"R8", 5917.0}));
    for (std::size_t i = 0; i + 1 < channels.size(); ++i) {
        EXPECT_EQ(channels[i + 1].centreMhz - channels[i].centreMhz, 37.0);
    }
}

TEST(RaceChannels, HaveTheseWavelengths)
{
    // Computed from 299792458 m/s, printed to 4 decimals.
    const std::array<double, 8> wavelengths {
        52.9856, 52.6413, 52.3015, 51.9661, 51.6349, 51.3080, 50.9851, 50.6663};
    for (std::size_t i = 0; i < wavelengths.size(); ++i) {
        EXPECT_NEAR(wavelengthMm(raceChannels()[i].centreMhz), wavelengths[i], 5e-5);
    }
}

TEST(OverlapMhz, NeighboursOverlapAtDoubleWidth)
{
    const auto& channels = raceChannels();
    EXPECT_EQ(overlapMhz(channels[0], channels[1], 20.0), -17.0);
    EXPECT_EQ(overlapMhz(channels[0], channels[1], 40.0), 3.0);
    EXPECT_EQ(overlapMhz(channels[1], channels[0], 40.0), 3.0);
    EXPECT_EQ(overlapMhz(channels[0], channels[2], 40.0), -34.0);
}

} // namespace
} // namespace twinlamp::link

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/scrub_layout.h"

#include <gtest/gtest.h>

namespace twinlamp::ui {

TEST(ScrubLayout, EndsOfTheBarAreFirstAndLastFrame)
{
    const AxisMapping bar = scrubMapping(101, 10.0, 210.0);
    EXPECT_EQ(frameAtPx(bar, 10.0, 101), FrameIndex {0});
    EXPECT_EQ(frameAtPx(bar, 210.0, 101), FrameIndex {100});
    EXPECT_EQ(frameAtPx(bar, 110.0, 101), FrameIndex {50});
    EXPECT_EQ(frameAtPx(bar, -50.0, 101), FrameIndex {0});
    EXPECT_EQ(frameAtPx(bar, 900.0, 101), FrameIndex {100});
}

TEST(ScrubLayout, EveryFrameIsReachableOnAWideBar)
{
    const AxisMapping bar = scrubMapping(200, 0.0, 400.0);
    for (std::int64_t k = 0; k < 200; ++k) {
        EXPECT_EQ(frameAtPx(bar, bar.toPx(static_cast<double>(k)), 200), FrameIndex {k});
    }
}

TEST(ScrubLayout, ClipOfOneFrameIsNoDivisionByZero)
{
    EXPECT_EQ(frameAtPx(scrubMapping(1, 0.0, 100.0), 60.0, 1), FrameIndex {0});
    EXPECT_EQ(frameAtPx(scrubMapping(0, 0.0, 100.0), 60.0, 0), FrameIndex {0});
}

TEST(NeighbourPress, GoesOnAndBackFromAFrame)
{
    const std::vector<FrameIndex> onsets {{10}, {50}, {50}, {90}};
    EXPECT_EQ(neighbourPress(onsets, {0}, true), 0U);
    EXPECT_EQ(neighbourPress(onsets, {10}, true), 1U); // not the one in hand again
    EXPECT_EQ(neighbourPress(onsets, {50}, true), 3U);
    EXPECT_FALSE(neighbourPress(onsets, {90}, true).has_value());
    EXPECT_EQ(neighbourPress(onsets, {90}, false), 2U);
    EXPECT_EQ(neighbourPress(onsets, {50}, false), 0U);
    EXPECT_FALSE(neighbourPress(onsets, {10}, false).has_value());
    EXPECT_FALSE(neighbourPress({}, {10}, true).has_value());
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/play_pace.h"

#include <gtest/gtest.h>

namespace twinlamp::ui {

TEST(PlayPace, FramesComeDueAtTheirRate)
{
    const PlayPace pace({10}, 30.0, 1'000);
    EXPECT_EQ(pace.due(0), FrameIndex {10});
    EXPECT_EQ(pace.due(33'000'000), FrameIndex {10});
    EXPECT_EQ(pace.due(34'000'000), FrameIndex {11});
    EXPECT_EQ(pace.due(1'000'000'001), FrameIndex {40});
}

TEST(PlayPace, RestsOnTheLastFrame)
{
    const PlayPace pace({90}, 10.0, 100);
    EXPECT_FALSE(pace.isOver(800'000'000));
    EXPECT_EQ(pace.due(60'000'000'000), FrameIndex {99});
    EXPECT_TRUE(pace.isOver(60'000'000'000));
}

TEST(ParsePlace, KnowsFramesAndTimes)
{
    EXPECT_EQ(parsePlace(QStringLiteral(" 1200 "))->frame, FrameIndex {1200});
    EXPECT_EQ(parsePlace(QStringLiteral("1.25 s"))->time, realTimeFromMs(1250.0));
    EXPECT_EQ(parsePlace(QStringLiteral("1,25s"))->time, realTimeFromMs(1250.0));
    EXPECT_EQ(parsePlace(QStringLiteral("12.5 ms"))->time, realTimeFromMs(12.5));
}

TEST(ParsePlace, RefusesTheRest)
{
    for (const auto* text : {"", "s", "-3", "1.5", "12 m", "1e5", "frame 3", "99999999999999 s"}) {
        EXPECT_FALSE(parsePlace(QString::fromLatin1(text)).has_value()) << text;
    }
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/ui/wait_for.h"
#include "ui/footage/playhead.h"

#include <QSignalSpy>

#include <gtest/gtest.h>

namespace twinlamp::ui {

TEST(Playhead, StepsCountFromTheFrameAskedFor)
{
    Playhead head;
    head.setFrameCount(100);
    for (int i = 0; i < 5; ++i) {
        head.step(1); // no picture came in between
    }
    EXPECT_EQ(head.frame(), FrameIndex {5});
    head.step(-10);
    EXPECT_EQ(head.frame(), FrameIndex {0});
    head.goTo({500});
    EXPECT_EQ(head.frame(), FrameIndex {99});
}

TEST(Playhead, PlaysToTheEndAndRestsThere)
{
    Playhead head;
    head.setFrameCount(30);
    head.goTo({20});
    QSignalSpy frames(&head, &Playhead::frameChanged);
    head.play(200.0);
    EXPECT_TRUE(head.isPlaying());
    ASSERT_TRUE(tests::waitFor([&] { return !head.isPlaying(); }, 5'000));
    EXPECT_EQ(head.frame(), FrameIndex {29});
    tests::waitFor([] { return false; }, 100);
    EXPECT_EQ(head.frame(), FrameIndex {29}); // it did not start over by itself
    std::int64_t before = 20;
    for (const auto& frame : frames) {
        const auto shown = frame.front().value<FrameIndex>().value;
        EXPECT_GT(shown, before);
        before = shown;
    }
}

TEST(Playhead, SteppingEndsPlaying)
{
    Playhead head;
    head.setFrameCount(1'000);
    QSignalSpy playing(&head, &Playhead::playingChanged);
    head.play(30.0);
    head.step(1);
    EXPECT_FALSE(head.isPlaying());
    ASSERT_EQ(playing.count(), 2);
    EXPECT_FALSE(playing.at(1).front().toBool());
}

} // namespace twinlamp::ui

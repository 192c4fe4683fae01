// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/link_model.h"
#include "tests/core/film/scenes.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <set>

namespace twinlamp::film {

using tests::plainScene;

namespace {

struct Lattice
{
    const char* name;
    int linkRate;
    int panelRate;
    int waits; ///< distinct waits
    double stepMs;
    double sdMs;
};

/// Waits of link frames for the redraw that shows them first.
std::vector<double> waitsFor(int linkRate, int panelRate, double phaseMs)
{
    Scene scene = plainScene();
    scene.linkCamera.frameRate = {linkRate, 1};
    scene.panel.refresh = RefreshKind::Free;
    scene.panel.refreshRate = {panelRate, 1};
    scene.panel.refreshPhase.ms = phaseMs;
    const LinkModel link(scene, 10'000.0);
    std::vector<double> waits;
    for (const LinkFrame& frame : link.frames()) {
        const auto shown = std::ranges::find_if(
            link.redraws(), [&](const Redraw& redraw) { return redraw.startMs >= *frame.readyMs; });
        if (frame.startMs >= 0.0 && shown != link.redraws().end()) {
            waits.push_back(shown->startMs - *frame.readyMs);
        }
    }
    return waits;
}

class LockedRates : public testing::TestWithParam<Lattice>
{
};

} // namespace

// Frames at f1 into refreshes at f2 from one clock: f1/gcd distinct waits, 1000/(f2 n) ms apart,
// standard deviation step sqrt((n^2 - 1)/12). Computed exactly.
TEST_P(LockedRates, WaitsAreALattice)
{
    const Lattice& lattice = GetParam();
    const auto waits = waitsFor(lattice.linkRate, lattice.panelRate, 0.3);
    std::set<std::int64_t> distinct;
    double sum = 0.0;
    double squares = 0.0;
    for (const double wait : waits) {
        distinct.insert(std::llround(wait * 1e6));
        sum += wait;
        squares += wait * wait;
    }
    const auto n = static_cast<double>(waits.size());
    const double mean = sum / n;
    EXPECT_EQ(distinct.size(), static_cast<std::size_t>(lattice.waits));
    // 600 to 900 waits are a whole number of lattice cycles but for a few.
    EXPECT_NEAR(std::sqrt(std::max(0.0, squares / n - mean * mean)), lattice.sdMs, 0.01);
    if (lattice.waits > 1) {
        EXPECT_NEAR(static_cast<double>(*std::next(distinct.begin()) - *distinct.begin()) * 1e-6,
            lattice.stepMs, 1e-5);
    }
}

INSTANTIATE_TEST_SUITE_P(Table, LockedRates,
    testing::Values(Lattice {"Sixty100", 60, 100, 3, 3.333333, 2.721655},
        Lattice {"Sixty120", 60, 120, 1, 8.333333, 0.0},
        Lattice {"Sixty144", 60, 144, 5, 1.388889, 1.964186},
        Lattice {"Ninety144", 90, 144, 5, 1.388889, 1.964186},
        Lattice {"Fifty60", 50, 60, 5, 3.333333, 4.714045},
        Lattice {"Hundred100", 100, 100, 1, 10.0, 0.0}),
    [](const auto& row) { return std::string(row.param.name); });

TEST(LinkModel, FrameIsReadyAfterExposureAndDelay)
{
    Scene scene = plainScene();
    scene.linkCamera.exposureMs = 3.0;
    scene.linkCamera.phase.ms = 2.0;
    scene.link.delayMs = 15.0;
    const LinkModel link(scene, 100.0);
    const auto frame = std::ranges::find(link.frames(), 4, &LinkFrame::number);
    ASSERT_NE(frame, link.frames().end());
    EXPECT_DOUBLE_EQ(frame->startMs, 42.0);
    EXPECT_DOUBLE_EQ(*frame->readyMs, 60.0);
    EXPECT_DOUBLE_EQ(link.exposure(4, 0.0).endMs, 45.0);
}

TEST(LinkModel, RowsAreReadOneAfterTheOther)
{
    Scene scene = plainScene();
    scene.linkCamera.readoutMs = 8.0;
    const LinkModel link(scene, 100.0);
    EXPECT_DOUBLE_EQ(link.exposure(0, 0.25).startMs, 2.0);
}

TEST(LinkModel, LostFrameIsNeverShownAndTheOldOneStays)
{
    Scene scene = plainScene();
    scene.link.lostFrames = {5, 6};
    const LinkModel link(scene, 200.0);
    EXPECT_EQ(std::ranges::count(link.redraws(), 5, &Redraw::frame), 0);
    EXPECT_EQ(std::ranges::count(link.redraws(), 6, &Redraw::frame), 0);
    const auto four = std::ranges::find(link.redraws(), 4, &Redraw::frame);
    EXPECT_NEAR(std::next(four)->startMs - four->startMs, 30.0, 1e-9);
}

TEST(LinkModel, ShareOfLostFramesIsKept)
{
    Scene scene = plainScene();
    scene.link.lostShare = 0.1;
    const LinkModel link(scene, 50'000.0);
    const auto lost = std::ranges::count_if(
        link.frames(), [](const LinkFrame& frame) { return !frame.readyMs; });
    const auto n = static_cast<double>(link.frames().size());
    EXPECT_NEAR(static_cast<double>(lost) / n, 0.1, 5.0 * std::sqrt(0.09 / n));
}

TEST(LinkModel, LossesComeInBursts)
{
    Scene scene = plainScene();
    scene.link.lostShare = 0.01;
    scene.link.lostBurst = 4;
    const LinkModel link(scene, 50'000.0);
    int run = 0;
    for (const LinkFrame& frame : link.frames()) {
        if (frame.readyMs) {
            EXPECT_TRUE(run == 0 || run >= 4 || frame.number == link.frames().front().number + run)
                << run;
            run = 0;
        } else {
            ++run;
        }
    }
}

TEST(LinkModel, JitterHasItsStandardDeviation)
{
    Scene scene = plainScene();
    scene.link.delayMs = 20.0;
    scene.link.jitter = JitterKind::Normal;
    scene.link.jitterMs = 2.0;
    const LinkModel link(scene, 50'000.0);
    double sum = 0.0;
    double squares = 0.0;
    for (const LinkFrame& frame : link.frames()) {
        const double wait = *frame.readyMs - frame.startMs - 20.0;
        EXPECT_LE(std::abs(wait), 6.1);
        sum += wait;
        squares += wait * wait;
    }
    const auto n = static_cast<double>(link.frames().size());
    // Cut at 3 standard deviations: sd factor 0.98658 (closed form of the truncated normal).
    EXPECT_NEAR(
        std::sqrt(squares / n - sum * sum / n / n), 2.0 * 0.98658, 5.0 * 2.0 / std::sqrt(2 * n));
}

TEST(LinkModel, FrameThatComesAfterANewerOneIsDropped)
{
    Scene scene = plainScene();
    scene.link.lateShare = 0.3;
    scene.link.lateMs = 25.0;
    const LinkModel link(scene, 5000.0);
    EXPECT_TRUE(std::ranges::is_sorted(link.redraws(), std::less<> {}, &Redraw::frame));
    EXPECT_TRUE(std::ranges::is_sorted(link.redraws(), std::less<> {}, &Redraw::startMs));
    EXPECT_LT(link.redraws().size(), link.frames().size());
}

TEST(LinkModel, RedrawWaitsForTheSweepBeforeIt)
{
    Scene scene = plainScene();
    scene.panel.direction = Direction::Down;
    scene.panel.scanMs = 9.0;
    scene.link.jitter = JitterKind::Uniform;
    scene.link.jitterMs = 5.0;
    scene.link.delayMs = 20.0;
    const LinkModel link(scene, 5000.0);
    for (std::size_t i = 1; i < link.redraws().size(); ++i) {
        EXPECT_GE(link.redraws()[i].startMs - link.redraws()[i - 1].startMs, 9.0 - 1e-9);
    }
}

TEST(EarliestRowSlack, TellsWhenRowsWouldBeShownBeforeTheyAreRead)
{
    Scene scene = plainScene();
    scene.linkCamera.readoutMs = 8.0;
    scene.panel.scanMs = 5.0;
    scene.panel.direction = Direction::Down;
    scene.link.delayMs = 4.0;
    EXPECT_DOUBLE_EQ(earliestRowSlackMs(scene), 1.0);
    scene.panel.direction = Direction::Up;
    EXPECT_DOUBLE_EQ(earliestRowSlackMs(scene), -4.0);
    scene.panel.direction = Direction::AllAtOnce;
    EXPECT_DOUBLE_EQ(earliestRowSlackMs(scene), -4.0);
}

} // namespace twinlamp::film

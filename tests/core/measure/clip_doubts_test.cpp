// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/clip_doubts.h"
#include "tests/core/measure/scene_clip.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>

namespace twinlamp::measure {
namespace {

std::vector<Press> onePress()
{
    Press press;
    press.latency = latencyFromMs(20.0);
    press.fullFrame = realTimeFromMs(130.0);
    return {press};
}

Flags flagsUnder(const ClipDoubts& doubts)
{
    auto presses = onePress();
    flagClipDoubts(doubts, presses);
    return presses.front().flags;
}

TEST(ClipDoubts, FlagWhatTheClipLeavesOpen)
{
    EXPECT_EQ(flagsUnder({false, false, 1.0, 16.7}), Flags {});
    EXPECT_EQ(flagsUnder({true, false, 1.0, 16.7}), Flags {Flag::ExposureUnknown});
    EXPECT_EQ(flagsUnder({false, true, 1.0, 16.7}), Flags {Flag::RowSkewInside});
}

TEST(ClipDoubts, FlagTooFewFramesForTheEdge)
{
    EXPECT_EQ(flagsUnder({false, false, 1000.0 / 240.0, 10.0}), Flags {});
    EXPECT_EQ(flagsUnder({false, false, 1000.0 / 120.0, {}}), Flags {Flag::FewFrames});
    EXPECT_EQ(flagsUnder({false, false, 1000.0 / 240.0, 1000.0 / 120.0}), Flags {});
    EXPECT_EQ(flagsUnder({false, false, 1000.0 / 240.0, 1000.0 / 180.0}), Flags {Flag::FewFrames});
}

TEST(ClipDoubts, SayNothingOfAPressWithoutALatency)
{
    std::vector<Press> presses(1);
    flagClipDoubts({true, true, 10.0, {}}, presses);
    EXPECT_TRUE(presses.front().flags.empty());
}

TEST(PartlyVisiblePanel, IsOneThatReachesTheBorderOfThePicture)
{
    ClipFacts clip;
    clip.widthPx = 640;
    clip.heightPx = 360;
    RegionSet regions;
    for (const RectPx cut :
        {RectPx {0, 20, 100, 100}, {20, 1, 100, 100}, {539, 20, 100, 100}, {20, 259, 100, 100}}) {
        regions.panel = cut;
        auto presses = onePress();
        flagPartlyVisible(regions, clip, presses);
        EXPECT_EQ(presses.front().flags, Flags {Flag::FullVisiblePart}) << cut.x << ' ' << cut.y;
    }
    regions.panel = RectPx {2, 2, 636, 356};
    auto presses = onePress();
    flagPartlyVisible(regions, clip, presses);
    EXPECT_TRUE(presses.front().flags.empty());
}

TEST(PanelDoubts, AskForASecondSignOfTheNewFrameInterval)
{
    PanelTiming timing;
    timing.scan = latencyFromMs(8.0);
    timing.signs = {"sweep"};
    EXPECT_EQ(panelDoubts(timing), Flags {});
    timing.newFrameInterval = latencyFromMs(16.7);
    timing.signs = {"sweep", "steps-after-a-press"};
    EXPECT_EQ(panelDoubts(timing), Flags {Flag::OneSign});
    timing.signs.emplace_back("moving-picture");
    EXPECT_EQ(panelDoubts(timing), Flags {});
}

bool hasNote(const Analysis& analysis, std::string_view id)
{
    return std::ranges::any_of(
        analysis.notes, [id](const Sentence& note) { return note.id == id; });
}

std::ptrdiff_t countFlagged(const Analysis& analysis, Edge edge, Flag flag)
{
    return std::ranges::count_if(analysis.presses,
        [&](const Press& press) { return press.edge == edge && hasFlag(press.flags, flag); });
}

MeasureOptions exposed(double exposureMs)
{
    MeasureOptions options;
    options.exposureMs = exposureMs;
    return options;
}

TEST(SlowLamp, IsFlaggedOnTheEdgesThatItIsSlowOn)
{
    const SceneClip clip(R"({"name": "afterglow", "seed": 11, "lamps": {"fall_ms": 2.5,
        "programme": {"kind": "random", "presses": 10}},
        "camera": {"capture_rate": 1000, "exposure_ms": 0.9}})");
    const Analysis analysis = clip.analysed(exposed(0.9));
    EXPECT_TRUE(hasNote(analysis, "lamp-slow"));
    EXPECT_EQ(countFlagged(analysis, Edge::Off, Flag::LampSlow), 10);
    EXPECT_EQ(countFlagged(analysis, Edge::On, Flag::LampSlow), 0);
}

TEST(SlowCamera, IsFlaggedAndItsIntervalsHold)
{
    const SceneClip clip(R"({"name": "few frames", "seed": 12,
        "lamps": {"programme": {"kind": "random", "presses": 10}},
        "camera": {"capture_rate": 120, "exposure_ms": 6}})");
    const Analysis analysis = clip.analysed(exposed(6.0));
    ASSERT_EQ(analysis.presses.size(), 20U);
    EXPECT_EQ(countFlagged(analysis, Edge::On, Flag::FewFrames), 10);
}

// Presses near the end of the link camera's exposure, so that the first picture shows a tenth of
// the step and a little more or less.
std::string edgesNearATenth()
{
    constexpr double exposureMs = 12.0;
    constexpr double lampRowMs = 4.0; // half of the read-out
    std::string edges;
    for (int i = 0; i < 24; ++i) {
        // No rhythm of their own, and none that the camera shares.
        const double frameMs = (15 + 15 * i + (i * i) % 7) * 1000.0 / 59.3;
        const double edgeMs = frameMs + lampRowMs + 0.9 * exposureMs + 0.1 * (i - 12);
        edges += (i > 0 ? ", " : "") + std::to_string(edgeMs);
    }
    return edges;
}

TEST(FaintFirstPicture, IsFlaggedWhereTheTruthLiesNextToATenth)
{
    const SceneClip clip(R"({"name": "faint", "seed": 31,
        "lamps": {"programme": {"kind": "list", "edges_ms": [)"
        + edgesNearATenth() + R"(]}},
        "link_camera": {"frame_rate": 59.3, "exposure_ms": 12, "readout_ms": 8, "phase_ms": 0},
        "camera": {"capture_rate": 480, "exposure_ms": 1.9}})");
    const Analysis analysis = clip.analysed(exposed(1.9));
    ASSERT_EQ(analysis.presses.size(), clip.truth().sampling.size());
    int flagged = 0;
    int others = 0;
    for (std::size_t i = 0; i < analysis.presses.size(); ++i) {
        const Press& seen = analysis.presses[i];
        const double share = clip.truth().sampling[i].firstStepShare.value_or(1.0);
        const bool isFlagged = hasFlag(seen.flags, Flag::FirstPictureFaint);
        flagged += isFlagged ? 1 : 0;
        ASSERT_TRUE(seen.latency && seen.uncertainty);
        const double error = toMs(*seen.latency) - toMs(*clip.truth().presses[i].latency);
        constexpr double halfLinkFrameMs = 500.0 / 60.0;
        // Counted from the other picture: then the half width has to hold both, and say so.
        if (std::abs(error) > halfLinkFrameMs) {
            EXPECT_TRUE(isFlagged) << share;
            EXPECT_LE(std::abs(error), toMs(*seen.uncertainty)) << share;
        }
        if (std::abs(share - 0.1) > 0.05) {
            ++others;
            EXPECT_FALSE(isFlagged) << share;
        }
    }
    EXPECT_GE(flagged, 3);
    EXPECT_GE(others, 3);
}

// A correction larger than the latency would have the link answer before it is asked.
TEST(NegativeLatency, IsSetAside)
{
    const SceneClip clip(R"({"name": "ahead", "seed": 13,
        "lamps": {"programme": {"kind": "random", "presses": 4}},
        "camera": {"capture_rate": 480, "exposure_ms": 1.9}})");
    MeasureOptions options = exposed(1.9);
    const Analysis plain = clip.analysed(options);
    options.zeroMs = 80.0;
    const Analysis ahead = clip.analysed(options);
    ASSERT_EQ(ahead.presses.size(), 8U);
    for (std::size_t i = 0; i < 8; ++i) {
        EXPECT_TRUE(plain.presses[i].accepted);
        EXPECT_FALSE(ahead.presses[i].accepted);
        EXPECT_EQ(reasonsSetAside(ahead.presses[i]), Flags {Flag::AmbiguousPairing});
    }
}

// The lit lamp on the panel is three times as bright as the camera can show.
TEST(ClippedGoggleLamp, IsFlaggedAndItsHalfWidthAllowsForWhatDoesNotShow)
{
    int answers = 0;
    int inside = 0;
    for (const int seed : {51, 52, 53}) {
        const SceneClip clip(R"({"name": "too bright", "seed": )" + std::to_string(seed)
            + R"(, "lamps": {"programme": {"kind": "random", "presses": 8}},
            "panel": {"rise_ms": 2, "fall_ms": 2, "lamp_image": {"brightness": 3}},
            "camera": {"capture_rate": 480, "exposure_ms": 1.9}})");
        const Analysis analysis = clip.analysed(exposed(1.9));
        ASSERT_EQ(analysis.presses.size(), 16U);
        for (std::size_t i = 0; i < analysis.presses.size(); ++i) {
            const Press& seen = analysis.presses[i];
            const Press& real = clip.truth().presses[i];
            if (seen.latency && real.latency) {
                EXPECT_TRUE(hasFlag(seen.flags, Flag::GoggleClipped)) << i;
                ++answers;
                inside += std::abs(toMs(*seen.latency) - toMs(*real.latency))
                        <= toMs(*seen.uncertainty)
                    ? 1
                    : 0;
            }
        }
    }
    ASSERT_GE(answers, 44);
    // 95 % of 48: fewer than 41 are inside once in 60 times.
    EXPECT_GE(inside, 41);
}

// 90 redraws a second of a link of 60 pictures: two redraws, then one.
TEST(OwnClockPanel, IsToldFromTheLinksRateWhereThatIsKnown)
{
    const SceneClip clip(R"({"name": "own clock", "seed": 14,
        "lamps": {"programme": {"kind": "random", "presses": 14}},
        "link_camera": {"frame_rate": 60, "exposure_ms": 8},
        "panel": {"refresh": "free", "refresh_rate": 90, "scan_ms": 6},
        "camera": {"capture_rate": 1000, "exposure_ms": 0.9}})",
        true);
    MeasureOptions options = exposed(0.9);
    options.linkFrameRate = FrameRate {60, 1};
    const Analysis analysis = clip.analysed(options);
    ASSERT_TRUE(analysis.panelTiming);
    ASSERT_TRUE(analysis.panelTiming->refreshInterval);
    EXPECT_NEAR(toMs(*analysis.panelTiming->refreshInterval), 1000.0 / 90.0, 0.05);
    EXPECT_TRUE(hasNote(analysis, "panel-own-clock"));
}

// The same link on a panel that follows it has no clock of its own to tell of.
TEST(OwnClockPanel, IsNotSeenInAPanelThatFollowsTheLink)
{
    const SceneClip clip(R"({"name": "follows", "seed": 15,
        "lamps": {"programme": {"kind": "random", "presses": 14}},
        "link_camera": {"frame_rate": 60, "exposure_ms": 8}, "panel": {"scan_ms": 6},
        "camera": {"capture_rate": 1000, "exposure_ms": 0.9}})",
        true);
    MeasureOptions options = exposed(0.9);
    options.linkFrameRate = FrameRate {60, 1};
    const Analysis analysis = clip.analysed(options);
    ASSERT_TRUE(analysis.panelTiming);
    EXPECT_FALSE(analysis.panelTiming->refreshInterval);
    EXPECT_FALSE(hasNote(analysis, "panel-own-clock"));
    ASSERT_TRUE(analysis.panelTiming->newFrameInterval);
    EXPECT_NEAR(toMs(*analysis.panelTiming->newFrameInterval), 1000.0 / 60.0, 0.08);
}

} // namespace
} // namespace twinlamp::measure

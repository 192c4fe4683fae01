// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/key_reader.h"
#include "core/film/scene_check.h"
#include "tests/accuracy/class_tally.h"

#include <algorithm>
#include <array>
#include <gtest/gtest.h>
#include <ostream>
#include <span>
#include <string_view>

namespace twinlamp::accuracy {

void PrintTo(const SceneClass& kind, std::ostream* out) { *out << kind.name; }

namespace {

std::string nameOf(const ::testing::TestParamInfo<SceneClass>& info) { return info.param.id; }

class EveryClass : public ::testing::TestWithParam<SceneClass>
{
};

/// Fixed seeds, other than those of the long run. Without a panel region: a quarter of the time,
/// and the harder case.
ClassTally tallyOf(const SceneClass& kind)
{
    constexpr std::uint64_t clips = 2;
    constexpr int presses = 8;
    ClassTally tally;
    for (std::uint64_t clip = 0; clip < clips; ++clip) {
        tally.add(runTrial(drawTrial(kind, 90'001 + clip, presses), false));
    }
    return tally;
}

/// What is asserted of a class: the target of the issue or, where that is not reached yet, what
/// holds.
struct Limits
{
    std::string_view id;
    double rmse; ///< camera frames, without the presses whose first picture shows about a tenth
    double leastCoverage; ///< share of the truths inside the stated 95 % intervals
    int mostLost; ///< presses missed, invented and set aside
};

/// Every ordinary class is to keep 0.08 frame and to lose nothing. Of 32 presses whose intervals
/// hold in 95 %, fewer than 27 are inside once in 160 times.
constexpr Limits target {"", 0.08, 0.84, 0};

/// Hard footage has no bound of 0.08 frame to keep: a long exposure, pulses or a clipped lamp hide
/// more than that. Its intervals are to hold all the same.
constexpr std::array hardLimits {
    Limits {"ClosePresses", 0.15, 0.84, 0},
    Limits {"TooShort", 1.2, 0.84, 2},
    Limits {"ShortExposure", 0.35, 0.84, 0}, // a gap G alone gives sqrt(G^3 / (12 P))
    Limits {"Dim", 0.35, 0.84, 0},
    Limits {"SlowCamera", 0.35, 0.84, 0},
    Limits {"Clipped", 0.3, 0.84, 0},
    Limits {"SlowStrobe", 3.5, 0.84, 0},
    Limits {"FastStrobe", 0.5, 0.84, 0},
    Limits {"LinkLosses", 0.08, 0.84, 2}, // may set presses aside whose answer was lost
};

/// Not reached yet, and what holds instead:
/// - jitter: 0.08 frame and coverage without a panel region (with one, both are reached);
/// - lamp dimmed by pulses: coverage.
constexpr std::array notReachedYet {
    Limits {"Jitter", 0.22, 0.7, 0},
    Limits {"PulsedLamp", 0.15, 0.75, 0},
};

Limits limitsOf(const SceneClass& kind)
{
    for (const auto& list : {std::span<const Limits>(hardLimits), {notReachedYet}}) {
        const auto found = std::ranges::find(list, std::string_view(kind.id), &Limits::id);
        if (found != list.end()) {
            return *found;
        }
    }
    return target;
}

} // namespace

TEST_P(EveryClass, DrawsScenesThatCouldBeFilmed)
{
    for (std::uint64_t seed = 1; seed <= 50; ++seed) {
        const Trial trial = drawTrial(GetParam(), seed, 3);
        film::Complaint complaint {"scene", std::nullopt};
        film::checkScene(trial.scene, complaint);
        EXPECT_FALSE(complaint.text) << seed << ": " << *complaint.text;
        EXPECT_EQ(trial.scene, drawTrial(GetParam(), seed, 3).scene) << seed;
        EXPECT_NE(trial.scene, drawTrial(GetParam(), seed + 1, 3).scene) << seed;
    }
}

TEST_P(EveryClass, KeepsItsLimits)
{
    const Limits limits = limitsOf(GetParam());
    const ClassTally tally = tallyOf(GetParam());
    RecordProperty("row", tableRow(GetParam(), tally));
    ASSERT_GT(tally.presses(), 30);
    EXPECT_LE(tally.missed() + tally.invented() + tally.setAside(), limits.mostLost)
        << tableRow(GetParam(), tally);
    // A press that a trace of noise puts a link frame off says nothing of the rest; its interval has
    // to hold like any other.
    EXPECT_LE(tally.rmseWithoutJumps(), limits.rmse) << tableRow(GetParam(), tally);
    EXPECT_GE(tally.coverage(), limits.leastCoverage) << tableRow(GetParam(), tally);
}

INSTANTIATE_TEST_SUITE_P(
    All, EveryClass, ::testing::ValuesIn(sceneClasses().begin(), sceneClasses().end()), nameOf);

// The panel's own figures: full frame within 0.2 ms at 1000 frames/s, new-frame interval within
// 0.5 %.
TEST(PanelFigures, OfFastFootageKeepTheirLimits)
{
    ClassTally tally;
    for (const std::uint64_t seed : {90'001U, 90'002U}) {
        tally.add(runTrial(drawTrial(sceneClasses().front(), seed, 6), true));
    }
    ASSERT_GE(tally.fullFrames(), 20U);
    EXPECT_LE(*tally.fullFrameRmseMs(), 0.2);
    ASSERT_TRUE(tally.medianNewFrameError());
    EXPECT_LE(*tally.medianNewFrameError(), 0.005);
}

// A tally that could not tell a bad program from a good one would make all of the above pass.
TEST(ClassTally, CountsAndMeasuresWhatItIsGiven)
{
    ClipScore score;
    score.presses = 6;
    score.missed = 1;
    score.invented = 2;
    score.setAside = 1;
    score.scores = {{0, 0.3, 0.5, false, 1.5}, {1, -0.4, 0.2, true, {}}};
    score.newFrameError = -0.01;
    ClassTally tally;
    tally.add(score, {0.25, std::nullopt});
    EXPECT_EQ(tally.missed(), 1);
    EXPECT_EQ(tally.invented(), 2);
    EXPECT_EQ(tally.setAside(), 1);
    EXPECT_NEAR(tally.bias(), -0.05, 1e-12);
    EXPECT_NEAR(tally.rmse(), 0.3535534, 1e-7);
    EXPECT_NEAR(tally.rmseWithoutJumps(), 0.3, 1e-12);
    EXPECT_NEAR(tally.coverage(), 0.5, 1e-12);
    EXPECT_NEAR(*tally.bound(), 0.25, 1e-12);
    EXPECT_NEAR(*tally.rmseOfBounded(), 0.3, 1e-12);
    EXPECT_NEAR(*tally.fullFrameRmseMs(), 1.5, 1e-12);
    EXPECT_NEAR(*tally.medianNewFrameError(), 0.01, 1e-12);
}

namespace {

Press madePress(Edge edge, double ms, std::optional<double> latencyMs)
{
    Press made;
    made.edge = edge;
    made.reference = realTimeFromMs(ms);
    if (latencyMs) {
        made.latency = latencyFromMs(*latencyMs);
        made.uncertainty = latencyFromMs(0.2);
    }
    return made;
}

} // namespace

TEST(ScoreClip, FindsMissedAndInventedPresses)
{
    film::Truth truth;
    truth.presses = {madePress(Edge::On, 100.0, 20.0), madePress(Edge::Off, 300.0, 21.0),
        madePress(Edge::On, 500.0, 22.0), madePress(Edge::Off, 700.0, std::nullopt)};
    measure::Analysis analysis;
    analysis.presses = {madePress(Edge::On, 100.1, 20.1), madePress(Edge::On, 300.0, 21.0),
        madePress(Edge::On, 500.0, std::nullopt), madePress(Edge::Off, 700.0, 19.0)};
    const ClipScore score = scoreClip(truth, analysis, 1.0);
    EXPECT_EQ(score.missed, 2); // the edge at 300, the answer at 500
    EXPECT_EQ(score.invented, 2); // another edge at 300, the answer at 700
    ASSERT_EQ(score.scores.size(), 1U);
    EXPECT_NEAR(score.scores[0].errorFrames, 0.1, 1e-9);
    EXPECT_NEAR(score.scores[0].halfWidthFrames, 0.2, 1e-9);
}

} // namespace twinlamp::accuracy

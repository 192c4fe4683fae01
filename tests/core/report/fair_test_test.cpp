// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/condition_differences.h"
#include "core/report/fair_test.h"

#include <algorithm>
#include <gtest/gtest.h>

namespace twinlamp::report {
namespace {

/// A clip of 8 presses, `everyMs` apart.
SettingPresses setting(double everyMs)
{
    SettingPresses made;
    made.conditions.linkFrameRate = FrameRate {50, 1};
    made.runs.push_back({"run 1", {}});
    ClipPresses& clip = made.clips.emplace_back();
    clip.file = "one.mp4";
    clip.facts.captureRate = {480, 1};
    for (int i = 0; i < 8; ++i) {
        Press press;
        press.index = i;
        press.reference = realTimeFromMs(100.0 + everyMs * i);
        press.latency = latencyFromMs(30.0);
        clip.presses.push_back(press);
    }
    made.runs[0].presses = clip.presses;
    return made;
}

bool says(const FairTest& test, const std::string& id)
{
    return std::ranges::any_of(
        test.sentences, [&id](const Sentence& sentence) { return sentence.id == id; });
}

/// Not a multiple of the 20 ms of a frame: 8 presses fall on 8 different phases.
constexpr double outOfStep = 802.5;
constexpr double inStep = 800.0;

TEST(FairTest, AlikeSettingsAreCalledSo)
{
    const FairTest test = fairTest(setting(outOfStep), setting(outOfStep));
    EXPECT_TRUE(says(test, "fair-alike"));
    EXPECT_TRUE(says(test, "fair-no-condition"));
    EXPECT_TRUE(says(test, "fair-phase-spread"));
    EXPECT_FALSE(test.rigsDiffer);
}

TEST(FairTest, NothingMeasuredIsNotCalledAlike)
{
    const FairTest test = fairTest(setting(outOfStep), SettingPresses {});
    EXPECT_FALSE(says(test, "fair-alike"));
    EXPECT_FALSE(test.rigsDiffer);
}

TEST(FairTest, PressesInStepWithTheFrameAreNamed)
{
    const FairTest test = fairTest(setting(outOfStep), setting(inStep));
    const auto named = std::ranges::find(test.sentences, "fair-phase-in-step", &Sentence::id);
    ASSERT_NE(named, test.sentences.end());
    EXPECT_EQ(named->values, (std::vector<std::string> {"B", "one.mp4", "20.00"}));
}

TEST(FairTest, WhatTheClipsWereMeasuredWithIsHeldSideBySide)
{
    struct Row
    {
        const char* id;
        bool isRigs;
        void (*change)(SettingPresses&);
    };

    const Row rows[] {
        {"fair-rig", true, [](SettingPresses& s) { s.clips[0].rigName = "tripod two"; }},
        {"fair-capture-rate", true,
            [](SettingPresses& s) {
                s.clips[0].facts.captureRate = {240, 1};
            }},
        {"fair-time-base", true,
            [](SettingPresses& s) { s.clips[0].options.fromRig.timeBaseCheckDate = "2026-02-03"; }},
        {"fair-exposure", false,
            [](SettingPresses& s) {
                s.clips[0].facts.exposureSource = ExposureSource::Given;
                s.clips[0].facts.exposureMs = 0.5;
            }},
        {"fair-line-time", false,
            [](SettingPresses& s) {
                s.clips[0].facts.lineTimeSource = LineTimeSource::Given;
                s.clips[0].facts.lineTimeUs = 4.5;
            }},
        {"fair-edges-measured", false,
            [](SettingPresses& s) { s.clips[0].options.edges = measure::EdgeChoice::On; }},
        {"fair-search", false, [](SettingPresses& s) { s.clips[0].options.searchMs = 90.0; }},
        {"fair-curve", false,
            [](SettingPresses& s) {
                s.clips[0].options.transfer = measure::TransferCurve::Linear;
            }},
        {"fair-lamp-place", false, [](SettingPresses& s) { s.conditions.lampPlace = "top"; }},
    };
    for (const Row& row : rows) {
        SettingPresses changed = setting(outOfStep);
        row.change(changed);
        const FairTest test = fairTest(setting(outOfStep), changed);
        EXPECT_TRUE(says(test, row.id)) << row.id;
        EXPECT_FALSE(says(test, "fair-alike")) << row.id;
        EXPECT_EQ(test.rigsDiffer, row.isRigs) << row.id;
    }
}

TEST(FairTest, WhatIsMissingIsSaid)
{
    SettingPresses few = setting(outOfStep);
    few.clips[0].presses.resize(4);
    few.clipsNotMeasured = 2;
    few.clipsOutOfDate = 1;
    SettingPresses noRate = setting(outOfStep);
    noRate.conditions.linkFrameRate.reset();
    const FairTest test = fairTest(few, noRate);
    for (const char* id : {"fair-phase-few", "fair-phase-no-rate", "fair-not-measured",
             "fair-out-of-date", "fair-no-rig"}) {
        EXPECT_TRUE(says(test, id)) << id;
    }
}

TEST(ConditionDifferences, AreNamedWithTheirUnits)
{
    session::Conditions a;
    a.bitRateMbit = 12.5;
    a.widthPx = 960;
    a.heightPx = 720;
    session::Conditions b = a;
    EXPECT_TRUE(conditionDifferences(a, b).empty());
    b.bitRateMbit = 25.0;
    b.linkFrameRate = FrameRate {60000, 1001};
    b.notes = "notes are free words";
    const auto differences = conditionDifferences(a, b);
    ASSERT_EQ(differences.size(), 2U);
    EXPECT_EQ(
        english(differences[0]), "Link camera's frame rate: A not told, B 60000/1001 frames/s.");
    EXPECT_EQ(english(differences[1]), "Bit rate: A 12.5 Mbit/s, B 25 Mbit/s.");
}

} // namespace
} // namespace twinlamp::report

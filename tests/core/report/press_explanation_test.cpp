// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/press_explanation.h"
#include "core/report/press_explanation_json.h"

#include <algorithm>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <string>
#include <vector>

namespace twinlamp::report {
namespace {

using ::testing::ElementsAre;

/// 100 frames at 1000 a second, exposure 0.8 ms; lamps switch at 20.4 ms, the goggle answers over
/// two frames from 60 ms on.
struct Clip
{
    ClipFacts facts;
    RegionSet regions {{10, 10, 20, 20}, {100, 300, 20, 20}, std::nullopt, RegionSource::Given};
    ClipTraces traces;
    Press press;

    Clip()
    {
        facts.file = "clips/invented.mp4";
        facts.widthPx = 1280;
        facts.heightPx = 720;
        facts.captureRate = {1000, 1};
        facts.exposureMs = 0.8;
        facts.exposureSource = ExposureSource::Given;
        for (int k = 0; k < 100; ++k) {
            traces.exposureStart.push_back(realTimeFromMs(k));
            traces.reference.push_back(k < 20 ? 0.1F : k == 20 ? 0.3F : 0.5F);
            traces.goggle.push_back(k < 60 ? 0.2F : k == 60 ? 0.3F : 0.4F);
        }
        press.index = 3;
        press.reference = realTimeFromMs(20.4);
        press.firstLight = realTimeFromMs(60.1);
        press.halfLight = realTimeFromMs(60.6);
        press.settled = realTimeFromMs(61.4);
        press.latency = latencyFromMs(39.7);
        press.uncertainty = latencyFromMs(0.098);
        press.parts = {{UncertaintySource::ReferenceOnset, 0.03, false, 20.0},
            {UncertaintySource::FirstLight, 0.04, false, 12.0},
            {UncertaintySource::CaptureRate, 0.0, true}};
        press.referenceBefore = 0.1;
        press.referenceAfter = 0.5;
        press.goggleBefore = 0.2;
        press.goggleAfter = 0.4;
        press.referenceModel = {18, {0.1F, 0.1F, 0.3F, 0.5F, 0.5F}};
        press.goggleModel = {58, {0.2F, 0.2F, 0.31F, 0.4F, 0.4F}};
    }

    [[nodiscard]] PressExplanation explained() const
    {
        return explainPress({facts, regions, traces, press, {}});
    }
};

std::vector<std::int64_t> framesOf(const PressExplanation& made)
{
    std::vector<std::int64_t> frames;
    std::ranges::transform(made.strip, std::back_inserter(frames), &StripFrame::frame);
    return frames;
}

TEST(PressExplanation, ShowsTheFramesAroundOnsetAndFirstLight)
{
    const PressExplanation made = Clip().explained();
    EXPECT_THAT(framesOf(made), ElementsAre(18, 19, 20, 21, 22, 23, 58, 59, 60, 61, 62, 63));
    for (const StripFrame& frame : made.strip) {
        EXPECT_EQ(frame.referenceBegins, frame.frame == 20);
        EXPECT_EQ(frame.goggleBegins, frame.frame == 60);
        EXPECT_NEAR(frame.sinceOnsetMs, static_cast<double>(frame.frame) - 20.4, 1e-6);
    }
}

TEST(PressExplanation, ShowsTheLampsWithAirAroundThem)
{
    const PressExplanation made = Clip().explained();
    EXPECT_EQ(made.referencePart, (RectPx {4, 4, 30, 30}));
    EXPECT_EQ(made.gogglePart, (RectPx {94, 294, 30, 30}));
    // At the picture's edge there is less of it.
    EXPECT_EQ(lampPart({0, 0, 20, 20}, 1280, 720), (RectPx {0, 0, 24, 24}));
    EXPECT_TRUE(lampPart({}, 1280, 720).isEmpty());
}

TEST(PressExplanation, ShowsEachFrameOnceWhereBothMeet)
{
    Clip clip;
    clip.press.firstLight = realTimeFromMs(23.1);
    EXPECT_THAT(framesOf(clip.explained()), ElementsAre(18, 19, 20, 21, 22, 23, 24, 25, 26));
}

TEST(PressExplanation, AnInstantInAGapBelongsToTheFrameAfterIt)
{
    Clip clip;
    clip.press.reference = realTimeFromMs(20.9); // frame 20 is exposed up to 20.8 ms
    const PressExplanation made = clip.explained();
    const auto begins = std::ranges::find(made.strip, true, &StripFrame::referenceBegins);
    ASSERT_NE(begins, made.strip.end());
    EXPECT_EQ(begins->frame, 21);
}

TEST(PressExplanation, LightIsAShareBetweenTheLevelsAndResidualsOfTheStep)
{
    const PressExplanation made = Clip().explained();
    const auto sample = std::ranges::find(made.goggle.samples, 60, &ExplainedSample::frame);
    ASSERT_NE(sample, made.goggle.samples.end());
    EXPECT_NEAR(sample->light, 0.5, 1e-6);
    EXPECT_NEAR(sample->model.value(), 0.55, 1e-6);
    EXPECT_NEAR(sample->residual.value(), -0.05, 1e-6);
    EXPECT_NEAR(sample->sinceOnsetMs, 60.0 + 0.4 - 20.4, 1e-6);
    // One of five frames misses by 5 % of the step: 0.05 / sqrt(5).
    EXPECT_NEAR(made.goggle.residualDeviation.value(), 0.0223607, 1e-5);
    EXPECT_NEAR(made.reference.residualDeviation.value(), 0.0, 1e-6);
    EXPECT_LT(made.firstMs, -5.0);
    EXPECT_GT(made.lastMs, 46.0);
}

TEST(PressExplanation, PutsSamplesAtTheTimeOfTheRegionsOwnRows)
{
    Clip clip;
    clip.facts.lineTimeUs = -1.0; // bottom row first: row 309.5 of 720 is exposed 409.5 us late
    const PressExplanation made = clip.explained();
    const auto sample = std::ranges::find(made.goggle.samples, 60, &ExplainedSample::frame);
    EXPECT_NEAR(sample->sinceOnsetMs, 40.0 + 0.4095, 1e-6);
}

TEST(PressExplanation, OffIsDrawnDownwards)
{
    Clip clip;
    std::swap(clip.press.goggleBefore, clip.press.goggleAfter);
    std::ranges::transform(
        clip.traces.goggle, clip.traces.goggle.begin(), [](float v) { return 0.6F - v; });
    const PressExplanation made = clip.explained();
    EXPECT_NEAR(made.goggle.samples.front().light, 1.0, 1e-6);
    EXPECT_NEAR(made.goggle.samples.back().light, 0.0, 1e-6);
}

TEST(Budget, SharesAddUpAndTheLargestComesFirst)
{
    const Budget budget = Clip().explained().budget.value();
    ASSERT_EQ(budget.rows.size(), 3U);
    EXPECT_EQ(budget.rows[0].source, UncertaintySource::FirstLight);
    EXPECT_NEAR(budget.rows[0].varianceShare, 0.64, 1e-12);
    EXPECT_NEAR(budget.rows[1].varianceShare, 0.36, 1e-12);
    EXPECT_NEAR(budget.combinedMs, 0.05, 1e-12);
    EXPECT_NEAR(budget.coverageFactor, 1.96, 1e-9);
    // JCGM 100:2008, G.2b by hand: 0.05^4 / (0.03^4 / 20 + 0.04^4 / 12) = 24.62.
    EXPECT_NEAR(budget.degreesOfFreedom.value(), 24.62, 0.01);
}

TEST(Budget, FollowsTheWorkedExampleOfTheGuide)
{
    // JCGM 100:2008, G.4.1, example: relative standard uncertainties of 0.25, 0.57 and 0.82 % with
    // 9, 4 and 14 degrees of freedom combine to 1.03 % with 19.0.
    Clip clip;
    clip.press.parts = {{UncertaintySource::ReferenceOnset, 0.25, false, 9.0},
        {UncertaintySource::FirstLight, 0.57, false, 4.0},
        {UncertaintySource::Exposure, 0.82, true, 14.0}};
    const Budget budget = budgetOf(clip.press, clip.facts);
    EXPECT_NEAR(budget.combinedMs, 1.03, 0.005);
    EXPECT_NEAR(budget.degreesOfFreedom.value(), 19.0, 0.05);
}

TEST(Budget, KnownPartsLeaveNoDegreesOfFreedom)
{
    Clip clip;
    for (UncertaintyPart& part : clip.press.parts) {
        part.degreesOfFreedom.reset();
    }
    EXPECT_EQ(budgetOf(clip.press, clip.facts).degreesOfFreedom, std::nullopt);
}

TEST(Budget, HasWordsForEverySource)
{
    Clip clip;
    for (int i = 0; i <= static_cast<int>(UncertaintySource::HandCorrection); ++i) {
        const auto source = static_cast<UncertaintySource>(i);
        clip.press.parts = {{source, 1.0, false}};
        const Budget budget = budgetOf(clip.press, clip.facts);
        EXPECT_NE(english(budget.rows[0].name), budget.rows[0].name.id);
        EXPECT_NE(english(budget.rows[0].how), budget.rows[0].how.id);
    }
    clip.press.parts = {{UncertaintySource::CaptureRate, 1.0, true}};
    clip.facts.captureRateSource = RateSource::TimeBase;
    EXPECT_EQ(
        english(budgetOf(clip.press, clip.facts).rows[0].how), "interval of the time-base check");
}

TEST(PressExplanation, SaysWhatItRestsOn)
{
    const PressExplanation made = Clip().explained();
    EXPECT_EQ(english(made.title), "Press 4 (on): latency 39.70 ± 0.10 ms");
    std::vector<std::string> foot;
    std::ranges::transform(made.foot, std::back_inserter(foot), english);
    EXPECT_THAT(foot,
        ElementsAre("Clip invented.mp4", "capture rate 1000 frames/s (given)",
            "exposure 0.80 ms (given)", ::testing::StartsWith("twinlamp ")));
    EXPECT_TRUE(made.notes.empty());
}

TEST(PressExplanation, WithoutAnAnswerShowsTheOnsetAndSaysWhy)
{
    Clip clip;
    clip.press = Press {};
    clip.press.reference = realTimeFromMs(20.4);
    addFlag(clip.press.flags, Flag::NoResponse);
    const PressExplanation made = clip.explained();
    EXPECT_THAT(framesOf(made), ElementsAre(18, 19, 20, 21, 22, 23));
    EXPECT_EQ(english(made.title), "Press 1 (on): no latency");
    EXPECT_FALSE(made.budget);
    ASSERT_EQ(made.flags.size(), 1U);
    EXPECT_FALSE(made.flags[0].setsAside);
    for (const ExplainedSample& sample : made.goggle.samples) {
        EXPECT_GE(sample.light, -1e-6);
        EXPECT_LE(sample.light, 1.0 + 1e-6);
    }
}

TEST(PressExplanation, TellsWhoSetThePressAsideAndWhy)
{
    Clip clip;
    setAside(clip.press, Flag::AmbiguousPairing);
    PressExplanation made = clip.explained();
    EXPECT_TRUE(made.flags.at(0).setsAside);
    EXPECT_TRUE(made.notes.empty());
    clip.press.flags.clear();
    made = explainPress({clip.facts, clip.regions, clip.traces, clip.press, "cable in view"});
    ASSERT_EQ(made.notes.size(), 1U);
    EXPECT_EQ(english(made.notes[0]), "Set aside by hand: cable in view.");
}

TEST(PressExplanation, ToldWithoutTracesOrOnset)
{
    Clip clip;
    clip.traces = {};
    EXPECT_EQ(clip.explained().notes.at(0).id, "explain-no-traces");
    EXPECT_TRUE(clip.explained().strip.empty());
    EXPECT_TRUE(clip.explained().budget.has_value());
    clip.press.reference.reset();
    EXPECT_EQ(clip.explained().notes.at(0).id, "explain-no-onset");
}

TEST(ExplanationJson, HoldsWhatIsShown)
{
    const Json json = explanationJson(Clip().explained());
    EXPECT_EQ(json["press"], 4);
    EXPECT_EQ(json["latency_ms"], 39.7);
    EXPECT_EQ(json["strip"].size(), 12U);
    EXPECT_EQ(json["budget"]["parts"][0]["source"], "first-light");
    EXPECT_TRUE(json["budget"]["parts"][2]["degrees_of_freedom"].is_null());
    EXPECT_EQ(json["marks_ms"]["onset"], 0.0);
    EXPECT_NEAR(json["marks_ms"]["first-light"].get<double>(), 39.7, 1e-9);
}

} // namespace
} // namespace twinlamp::report

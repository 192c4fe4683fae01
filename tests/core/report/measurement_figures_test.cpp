// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/measurement_figures.h"
#include "tests/core/report/measurement_sample.h"

#include <algorithm>
#include <gtest/gtest.h>

namespace twinlamp::report {
namespace {

bool hasNote(const MeasurementFigures& figures, std::string_view id)
{
    return std::ranges::find(figures.notes, id, &Sentence::id) != figures.notes.end();
}

stats::Summary summaryOf(std::optional<double> median, std::optional<double> low,
    std::optional<double> high, std::int64_t n, std::int64_t lost)
{
    stats::Summary summary;
    summary.n = n;
    summary.noResponse = lost;
    summary.medianMs = median;
    summary.medianLowMs = low;
    summary.medianHighMs = high;
    return summary;
}

TEST(AnswerSentence, SaysMedianIntervalAndCount)
{
    EXPECT_EQ(english(answerSentence(summaryOf(25.3127, 24.871, 25.69, 40, 1))),
        "Latency 25.3 ms: median of 41 presses (on), 95 % interval 24.9 to 25.7 ms.");
}

TEST(AnswerSentence, FewPressesHaveNoInterval)
{
    EXPECT_EQ(english(answerSentence(summaryOf(25.3127, {}, {}, 4, 0))),
        "Latency 25.31 ms: median of 4 presses (on); an interval needs 6 presses or more.");
}

TEST(AnswerSentence, LostAnswersLeaveItOpen)
{
    EXPECT_EQ(english(answerSentence(summaryOf(25.3127, 24.9, {}, 7, 3))),
        "Latency 25.3 ms: median of 10 presses (on), at least 24.9 ms with 95 % confidence; lost "
        "answers leave no upper end.");
    EXPECT_EQ(english(answerSentence(summaryOf({}, {}, {}, 2, 5))),
        "No median latency: 5 of 7 presses (on) were never answered.");
    EXPECT_EQ(english(answerSentence({})), "No latency: no accepted press (on) has an answer.");
}

TEST(MeasurementFigures, NotesFollowFromTheSummaries)
{
    const MeasurementFigures figures = measurementFigures(samples::hangarClip(), {});
    EXPECT_TRUE(hasNote(figures, "exposure-estimated")) << "the clip's own notes stay";
    EXPECT_TRUE(hasNote(figures, "link-frame-rate-unknown"));
    EXPECT_TRUE(hasNote(figures, "answers-lost"));
    const auto aside = std::ranges::find(figures.notes, "set-aside", &Sentence::id);
    ASSERT_NE(aside, figures.notes.end());
    EXPECT_EQ(aside->values, (std::vector<std::string> {"1", "1 ambiguous-pairing"}));
    EXPECT_FALSE(hasNote(figures, "on-off-differ"));
}

TEST(MeasurementFigures, OnAgainstOffIsNotedBeyondTheirDoubt)
{
    ClipResult result = samples::hangarClip();
    for (Press& press : result.presses) {
        if (press.edge == Edge::Off && press.latency) {
            *press.latency = *press.latency + latencyFromMs(30.0);
        }
    }
    EXPECT_TRUE(hasNote(measurementFigures(result, {}), "on-off-differ"));
}

TEST(MeasurementFigures, NotesThatPressesNoLongerBearOutAreGone)
{
    ClipResult result = samples::hangarClip();
    result.notes.push_back({"on-off-differ", {"9.9"}});
    EXPECT_FALSE(hasNote(measurementFigures(result, {}), "on-off-differ"));
}

TEST(MeasurementFigures, LinkSpreadIsPutInWords)
{
    ClipResult result = samples::hangarClip();
    const auto more = result.presses;
    for (int copies = 0; copies < 3; ++copies) {
        result.presses.insert(result.presses.end(), more.begin(), more.end());
    }
    // SD 4.4 ms: a link frame of 16.7 ms explains it (4.8 ms), one of 2 ms does not.
    EXPECT_TRUE(
        hasNote(measurementFigures(result, {std::nullopt, FrameRate {60, 1}}), "link-spread-zero"));
    EXPECT_TRUE(hasNote(
        measurementFigures(result, {std::nullopt, FrameRate {500, 1}}), "link-spread-told"));
}

TEST(MeasurementFigures, OutliersDriftAndMissedSharesAreNoted)
{
    ClipResult result = samples::hangarClip();
    EXPECT_FALSE(hasNote(measurementFigures(result, {}), "outliers-of-edge"));
    EXPECT_FALSE(hasNote(measurementFigures(result, {}), "latency-drifts"));
    EXPECT_FALSE(hasNote(measurementFigures(result, {}), "some-late-missed"));
    const auto late = measurementFigures(result, {latencyFromMs(36.0), std::nullopt});
    const auto missed = std::ranges::find(late.notes, "some-late-missed", &Sentence::id);
    ASSERT_NE(missed, late.notes.end());
    EXPECT_EQ(missed->values, (std::vector<std::string> {"7", "34.8"})); // 1 - 0.05^(1/7)
    EXPECT_TRUE(hasNote(
        measurementFigures(result, {latencyFromMs(90.0), std::nullopt}), "none-late-missed"));
    result.presses[2].latency = latencyFromMs(400.0);
    const auto far = measurementFigures(result, {});
    const auto named = std::ranges::find(far.notes, "outliers-of-edge", &Sentence::id);
    ASSERT_NE(named, far.notes.end());
    EXPECT_EQ(named->values, (std::vector<std::string> {"on", "3 (400.0 ms)"}));
}

TEST(MeasurementFigures, DriftIsNoted)
{
    ClipResult result = samples::hangarClip();
    const Press one = result.presses[0];
    result.presses.clear();
    for (int i = 0; i < 20; ++i) {
        Press press = one;
        press.index = i;
        press.reference = realTimeFromMs(1000.0 * i);
        press.latency = latencyFromMs(30.0 + 0.05 * i); // 3 ms a minute
        result.presses.push_back(press);
    }
    const auto figures = measurementFigures(result, {});
    const auto drift = std::ranges::find(figures.notes, "latency-drifts", &Sentence::id);
    ASSERT_NE(drift, figures.notes.end());
    EXPECT_EQ(drift->values.front().substr(0, 1), "3");
    EXPECT_TRUE(hasNote(figures, "neighbours-alike"));
}

TEST(MeasurementFigures, NoteOfTheMeasurementIsNotRepeated)
{
    ClipResult result = samples::hangarClip();
    result.notes.push_back({"link-frame-rate-unknown", {}});
    const MeasurementFigures figures = measurementFigures(result, {});
    EXPECT_EQ(std::ranges::count(figures.notes, "link-frame-rate-unknown", &Sentence::id), 1);
}

TEST(MeasurementFigures, EveryNoteHasWords)
{
    for (const Sentence& note : measurementFigures(samples::hangarClip(), {}).notes) {
        EXPECT_NE(english(note), note.id);
        EXPECT_EQ(english(note).find('{'), std::string::npos) << english(note);
    }
}

} // namespace
} // namespace twinlamp::report

// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/ui/campaign.h"
#include "ui/models/comparison_words.h"

#include <QAbstractItemModelTester>

#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

using tests::campaign;

ComparisonAnswer answerOf(
    const session::Session& session, const report::ComparisonOptions& options = {})
{
    return answerTo(session, {{{1}, {2}}, options}).value();
}

bool anyContains(const QStringList& texts, const char* part)
{
    return !texts.filter(QLatin1String(part)).isEmpty();
}

} // namespace

TEST(ComparisonWords, WhatIsToldStandsInAFewWordsBeforeItsFigures)
{
    const auto answer = answerOf(campaign({{"near", {0.0, 0.2, 0.1}}, {"far", {9.0, 9.2, 9.1}}}));
    const auto words = verdictWords(*answer.comparison);
    ASSERT_EQ(words.size(), 3U);
    EXPECT_TRUE(words[0].isTold);
    EXPECT_EQ(words[0].answer, QStringLiteral("A is faster"));
    EXPECT_TRUE(anyContains(words[0].sentences, "B less A is 9.0"));
    EXPECT_TRUE(words[0].needed.isEmpty());
    EXPECT_FALSE(words[1].isTold) << "both scatter alike";
    EXPECT_TRUE(anyContains(words[2].sentences, "No late limit"));
}

TEST(ComparisonWords, FewRunsCannotTellAndSayWhatToDo)
{
    const auto answer = answerOf(campaign({{"near", {0.0, 0.2}}, {"far", {9.0, 9.2, 9.1}}}));
    const auto words = verdictWords(*answer.comparison);
    EXPECT_EQ(words[0].answer, QStringLiteral("Cannot tell yet"));
    EXPECT_FALSE(words[0].isTold);
    EXPECT_TRUE(anyContains(words[0].sentences, "Restart the link"));
}

TEST(ComparisonWords, UndecidedShiftNamesRunsAndPressesThatWouldTell)
{
    const auto answer = answerOf(campaign({{"near", {0.0, 3.0, 1.0}}, {"far", {2.0, 5.0, 3.5}}}));
    const auto words = verdictWords(*answer.comparison);
    EXPECT_FALSE(words[0].isTold);
    EXPECT_TRUE(words[0].needed.startsWith(QStringLiteral("Would tell: about ")))
        << words[0].needed.toStdString();
}

TEST(ComparisonWords, EverySentenceOfTheComparisonStandsSomewhereOnce)
{
    report::ComparisonOptions options;
    options.lateLimit = latencyFromMs(25.0);
    const auto answer
        = answerOf(campaign({{"near", {0.0, 3.0, 1.0}}, {"far", {2.0, 5.0, 3.5}}}), options);
    QStringList shown = restWords(*answer.comparison) + fairWords(*answer.comparison)
        + conditionWords(*answer.comparison);
    for (const VerdictWords& words : verdictWords(*answer.comparison)) {
        shown += words.sentences;
        shown << words.needed;
    }
    for (const Sentence& sentence : answer.comparison->sentences) {
        // What would tell has words of its own.
        if (sentence.id != "compare-not-told") {
            EXPECT_TRUE(shown.contains(sentenceText(sentence))) << sentence.id;
        }
    }
}

TEST(ComparisonTables, IndependentFiguresStandBelowAHeadingThatNamesThem)
{
    const auto answer = answerOf(campaign({{"near", {0.0, 0.2, 0.1}}, {"far", {9.0, 9.2, 9.1}}}));
    const FigureLines lines = comparedFigures(*answer.comparison);
    ASSERT_GE(lines.rows.size(), 5U);
    EXPECT_FALSE(lines.rows[0].heading);
    EXPECT_TRUE(lines.rows[2].cells[0].contains(QStringLiteral("delta")));
    EXPECT_TRUE(lines.rows[3].heading);
    EXPECT_TRUE(lines.rows[3].cells[0].contains(QStringLiteral("independent")));
    FigureTableModel model;
    const QAbstractItemModelTester tester(
        &model, QAbstractItemModelTester::FailureReportingMode::Fatal);
    model.setTable(lines.columns, lines.rows);
    EXPECT_EQ(model.rowCount(), static_cast<int>(lines.rows.size()));
    EXPECT_EQ(model.index(0, 1).data().toString(), lines.rows[0].cells[1]);
}

TEST(ComparisonTables, QuantilesSayHowManyPressesTheirIntervalsNeed)
{
    const auto answer = answerOf(campaign({{"near", {0.0, 0.2, 0.1}}, {"far", {9.0, 9.2, 9.1}}}));
    bool found = false;
    for (const FigureRow& row : settingFiguresTable(*answer.comparison).rows) {
        found = found || row.cells.value(1).contains(QStringLiteral("needs 72"));
    }
    EXPECT_TRUE(found);
}

TEST(ComparisonTables, RankingHoldsEverySettingAgainstTheFastest)
{
    const auto answer = answerOf(campaign({{"far", {9.0, 9.2, 9.1}}, {"near", {0.0, 0.2, 0.1}},
        {"nearly", {0.1, 0.0, 0.3}}, {"empty", {}}}));
    ASSERT_TRUE(answer.ranking);
    const FigureLines lines = rankingTable(*answer.ranking);
    ASSERT_EQ(lines.rows.size(), 3U) << "a setting without presses is not ranked";
    EXPECT_TRUE(lines.rows[0].cells[0].endsWith(QStringLiteral("near")));
    EXPECT_EQ(lines.rows[2].cells.last(), QStringLiteral("yes"));
    EXPECT_TRUE(lines.rows[2].cells[3].startsWith(QStringLiteral("9.0")))
        << "behind the fastest, whichever of the two comes first in the session";
    EXPECT_EQ(lines.rows[1].cells.last(), QStringLiteral("not yet"));
}

TEST(ChartData, SharesCountLostAnswersAndAddUpToTheAnsweredOnes)
{
    ChartSeries series {QStringLiteral("A"), QStringLiteral("near"),
        {{QStringLiteral("run 1"), {20.0, 21.0, 22.0}, 1}}};
    EXPECT_EQ(series.presses(), 4);
    EXPECT_DOUBLE_EQ(series.shareWithin(21.0), 0.5);
    EXPECT_DOUBLE_EQ(series.shareWithin(100.0), 0.75);
    double sum = 0.0;
    for (const double share : binSharesOf(series, axisOf({series}))) {
        sum += share;
    }
    EXPECT_DOUBLE_EQ(sum, 0.75);
}

} // namespace twinlamp::ui

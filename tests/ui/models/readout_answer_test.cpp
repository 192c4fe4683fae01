// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/ui/campaign.h"
#include "ui/models/readout_answer.h"
#include "ui/models/readout_table_model.h"

#include <QAbstractItemModelTester>
#include <QSignalSpy>

#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

using report::PairsOf;

session::Session threeRuns()
{
    return tests::campaign({{"narrow", {0.0, 0.4, -0.3}, 4}, {"wide", {5.0}, 3}});
}

session::Session withReadout(
    const session::Session& before, const ReadoutRow& row, const std::vector<double>& typedMs)
{
    const auto edit = readoutEdit(before, row, typedMs);
    EXPECT_TRUE(edit);
    const auto after = session::applied(before, *edit);
    EXPECT_TRUE(after);
    return *after;
}

} // namespace

TEST(ReadoutAnswer, HasALineForEachPressThatCanBePaired)
{
    const ReadoutAnswer answer = readoutAnswer(threeRuns(), {});
    ASSERT_EQ(answer.rows.size(), 15U);
    EXPECT_EQ(answer.rows.front().names.size(), readoutNameColumns(PairsOf::Presses).size());
    EXPECT_EQ(answer.rows.front().names.front(), QStringLiteral("narrow"));
    EXPECT_TRUE(answer.rows.front().measuredMs);
    EXPECT_FALSE(answer.rows.front().differenceMs());
    EXPECT_EQ(readoutVerdict(answer.check).answer, QStringLiteral("No readouts yet"));
}

TEST(ReadoutAnswer, OneSettingIsShownAlone)
{
    const session::Session session = threeRuns();
    EXPECT_EQ(readoutAnswer(session, {PairsOf::Presses, session.settings[1].id}).rows.size(), 3U);
}

TEST(ReadoutAnswer, DifferencesAreReadoutLessMeasured)
{
    session::Session session = threeRuns();
    const std::vector<ReadoutRow> rows = readoutAnswer(session, {}).rows;
    for (std::size_t i = 0; i < 12; ++i) {
        session = withReadout(session, rows[i], {*rows[i].measuredMs + 3.0});
    }
    const ReadoutAnswer answer = readoutAnswer(session, {});
    for (std::size_t i = 0; i < 12; ++i) {
        EXPECT_NEAR(*answer.rows[i].differenceMs(), 3.0, 1e-9);
    }
    const VerdictWords words = readoutVerdict(answer.check);
    EXPECT_EQ(words.answer, QStringLiteral("It reads more than measured"));
    EXPECT_TRUE(words.isTold);
    EXPECT_FALSE(readoutTable(answer.check).rows.empty());
}

TEST(ReadoutAnswer, SettingsAreHeldAgainstTheirMedians)
{
    session::Session session = threeRuns();
    const std::vector<ReadoutRow> rows = readoutAnswer(session, {PairsOf::Settings}).rows;
    ASSERT_EQ(rows.size(), 2U);
    session = withReadout(session, rows[0], {30.0, 26.0, 28.0});
    const ReadoutRow row = readoutAnswer(session, {PairsOf::Settings}).rows[0];
    EXPECT_NEAR(*row.differenceMs(), 28.0 - *row.measuredMs, 1e-9);
}

TEST(ReadoutAnswer, NotesStayWithEqualFigures)
{
    session::Session session = threeRuns();
    const session::SettingId setting = session.settings[0].id;
    const auto noted
        = session::changeReadouts(session, setting, {{30.0, "after warming up"}, {26.0, ""}});
    ASSERT_TRUE(noted);
    session = *session::applied(session, *noted);
    const ReadoutRow row = readoutAnswer(session, {PairsOf::Settings}).rows[0];
    session = withReadout(session, row, {26.0, 27.0, 30.0});
    const auto& readouts = session::find(session, setting)->readouts;
    ASSERT_EQ(readouts.size(), 3U);
    EXPECT_EQ(readouts[1].note, "");
    EXPECT_EQ(readouts[2].note, "after warming up");
}

TEST(ReadoutTexts, TakePointAndComma)
{
    const auto expect = [](const QString& text, PairsOf of, const std::vector<double>& figures) {
        const auto read = readoutsIn(text, of);
        ASSERT_TRUE(read) << text.toStdString();
        EXPECT_EQ(*read, figures) << text.toStdString();
    };
    expect(QStringLiteral("31.5"), PairsOf::Presses, {31.5});
    expect(QStringLiteral(" 31,5 "), PairsOf::Presses, {31.5});
    expect({}, PairsOf::Presses, {});
    expect(QStringLiteral("31,5; 30 29.25"), PairsOf::Settings, {31.5, 30.0, 29.25});
    for (const char* wrong : {"0", "-3", "31 32", "abc", "inf", "nan", "31 ms"}) {
        EXPECT_FALSE(readoutsIn(QString::fromUtf8(wrong), PairsOf::Presses)) << wrong;
    }
}

TEST(ReadoutTable, TypingTellsAndKeepsNothingByItself)
{
    ReadoutTableModel model;
    const QAbstractItemModelTester tester(
        &model, QAbstractItemModelTester::FailureReportingMode::Fatal);
    const session::Session session = threeRuns();
    model.setRows(PairsOf::Presses, readoutAnswer(session, {}).rows);
    const QSignalSpy typed(&model, &ReadoutTableModel::readoutTyped);
    const QSignalSpy wrong(&model, &ReadoutTableModel::notUnderstood);
    const QModelIndex cell = model.index(2, model.typedColumn());
    EXPECT_TRUE(model.setData(cell, QStringLiteral("31,5"), Qt::EditRole));
    ASSERT_EQ(typed.size(), 1);
    EXPECT_EQ(typed[0][0].toInt(), 2);
    EXPECT_EQ(model.data(cell, Qt::DisplayRole).toString(), QString());
    EXPECT_FALSE(model.setData(cell, QStringLiteral("soon"), Qt::EditRole));
    EXPECT_EQ(wrong.size(), 1);
    EXPECT_FALSE(model.setData(model.index(2, 0), QStringLiteral("31"), Qt::EditRole));
    // Equal lines are changed in place: no reset while somebody types.
    const QSignalSpy reset(&model, &QAbstractItemModel::modelReset);
    model.setRows(
        PairsOf::Presses, readoutAnswer(withReadout(session, model.rows()[2], {31.5}), {}).rows);
    EXPECT_EQ(reset.size(), 0);
    EXPECT_EQ(model.data(cell, Qt::DisplayRole).toString(), QStringLiteral("31.5"));
    model.setRows(PairsOf::Settings, readoutAnswer(session, {PairsOf::Settings}).rows);
    EXPECT_EQ(reset.size(), 1);
    model.setEditable(false);
    EXPECT_FALSE(
        model.setData(model.index(0, model.typedColumn()), QStringLiteral("31"), Qt::EditRole));
}

} // namespace twinlamp::ui

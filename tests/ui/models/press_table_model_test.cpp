// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/ui/session_helpers.h"
#include "ui/models/press_filter_model.h"
#include "ui/models/press_table_model.h"

#include <QAbstractItemModelTester>
#include <QSignalSpy>

#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

using Tester = QAbstractItemModelTester;

std::vector<PressRow> someRows()
{
    std::vector<PressRow> rows;
    const session::ClipId clip {5};
    rows.push_back({{clip, 0}, QStringLiteral("a.mp4"), tests::effectivePress(0, 100.0, 128.0)});
    rows.push_back(
        {{clip, 1}, QStringLiteral("a.mp4"), tests::effectivePress(1, 300.0, 324.0, Edge::Off)});
    rows.push_back({{clip, 2}, QStringLiteral("a.mp4"), tests::effectivePress(2, 500.0, {})});
    rows[1].press.press.accepted = false;
    rows[1].press.choice = session::HandChoice {false, "cable in view"};
    return rows;
}

QString text(const QAbstractItemModel& model, int row, int column)
{
    return model.index(row, column).data().toString();
}

} // namespace

TEST(PressTableModel, PassesTheModelTesterThroughItsChanges)
{
    PressTableModel model;
    const Tester tester(&model, Tester::FailureReportingMode::Fatal);
    model.setRows(someRows());
    auto changed = someRows();
    changed[0].press.press.accepted = false;
    model.setRows(changed);
    changed.pop_back();
    model.setRows(changed);
    model.setRows({});
    EXPECT_EQ(model.rowCount(), 0);
}

TEST(PressTableModel, ShowsFiguresDoubtsAndReasons)
{
    PressTableModel model;
    model.setRows(someRows());
    EXPECT_EQ(text(model, 0, PressTableModel::Number), QStringLiteral("1"));
    EXPECT_EQ(text(model, 0, PressTableModel::Onset), QStringLiteral("100.00"));
    EXPECT_TRUE(text(model, 0, PressTableModel::LatencyColumn).startsWith(QStringLiteral("28.00")));
    EXPECT_EQ(text(model, 1, PressTableModel::EdgeKind), QStringLiteral("off"));
    EXPECT_EQ(
        text(model, 1, PressTableModel::Accepted), QStringLiteral("set aside: cable in view"));
    EXPECT_EQ(text(model, 2, PressTableModel::Doubts), QStringLiteral("no answer"));
    EXPECT_EQ(text(model, 2, PressTableModel::LatencyColumn), QString(QChar(0x2013)));
}

TEST(PressTableModel, ChangedFiguresAreNoReset)
{
    PressTableModel model;
    model.setRows(someRows());
    QSignalSpy resets(&model, &QAbstractItemModel::modelReset);
    QSignalSpy changes(&model, &QAbstractItemModel::dataChanged);
    auto rows = someRows();
    rows[2].press.press.flags.push_back(Flag::ClipEdge);
    model.setRows(rows);
    EXPECT_EQ(resets.count(), 0);
    ASSERT_EQ(changes.count(), 1);
    EXPECT_EQ(changes.front().at(0).toModelIndex().row(), 2);
}

TEST(PressTableModel, TickingAsksAndChangesNothingItself)
{
    PressTableModel model;
    model.setRows(someRows());
    QSignalSpy asked(&model, &PressTableModel::acceptAsked);
    const QModelIndex index = model.index(0, PressTableModel::Accepted);
    EXPECT_TRUE(model.setData(index, Qt::Unchecked, Qt::CheckStateRole));
    ASSERT_EQ(asked.count(), 1);
    EXPECT_EQ(asked.front().at(0).value<session::PressAddress>(),
        (session::PressAddress {session::ClipId {5}, 0}));
    EXPECT_FALSE(asked.front().at(1).toBool());
    EXPECT_EQ(index.data(Qt::CheckStateRole).toInt(), Qt::Checked);
}

TEST(PressTableModel, OnlyTheReasonOfAPressSetAsideCanBeTyped)
{
    PressTableModel model;
    model.setRows(someRows());
    EXPECT_FALSE(model.index(0, PressTableModel::Accepted).flags().testFlag(Qt::ItemIsEditable));
    EXPECT_TRUE(model.index(1, PressTableModel::Accepted).flags().testFlag(Qt::ItemIsEditable));
    EXPECT_FALSE(model.index(1, PressTableModel::Onset).flags().testFlag(Qt::ItemIsEditable));
}

TEST(PressFilterModel, CutsDownAndSortsByFigures)
{
    PressTableModel model;
    model.setRows(someRows());
    PressFilterModel shown;
    const Tester tester(&shown, Tester::FailureReportingMode::Fatal);
    shown.setSourceModel(&model);
    EXPECT_EQ(shown.rowCount(), 3);
    shown.sort(PressTableModel::LatencyColumn, Qt::DescendingOrder);
    EXPECT_EQ(text(shown, 0, PressTableModel::Number), QStringLiteral("1"));
    EXPECT_EQ(text(shown, 2, PressTableModel::Number), QStringLiteral("3"));
    shown.sort(PressTableModel::LatencyColumn, Qt::AscendingOrder);
    EXPECT_EQ(text(shown, 0, PressTableModel::Number), QStringLiteral("2"));
    EXPECT_EQ(text(shown, 2, PressTableModel::Number), QStringLiteral("3"));
    shown.setFilter(PressFilter::OffEdges);
    ASSERT_EQ(shown.rowCount(), 1);
    EXPECT_EQ(text(shown, 0, PressTableModel::Number), QStringLiteral("2"));
    shown.setFilter(PressFilter::Doubted);
    ASSERT_EQ(shown.rowCount(), 1);
    EXPECT_EQ(text(shown, 0, PressTableModel::Number), QStringLiteral("3"));
    shown.setFilter(PressFilter::SetAside);
    EXPECT_EQ(shown.rowCount(), 1);
    shown.setFilter(PressFilter::OnEdges);
    EXPECT_EQ(shown.rowCount(), 2);
}

} // namespace twinlamp::ui

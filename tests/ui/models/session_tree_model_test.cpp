// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/edit.h"
#include "tests/core/session/session_samples.h"
#include "tests/ui/session_helpers.h"
#include "ui/models/session_tree_model.h"

#include <QAbstractItemModelTester>
#include <QMimeData>
#include <QSignalSpy>
#include <QUrl>

#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

using Tester = QAbstractItemModelTester;

/// Every row as an indented line: what the tree shows, to compare at a glance.
void dump(const SessionTreeModel& model, const QModelIndex& parent, int depth, QStringList& lines)
{
    for (int row = 0; row < model.rowCount(parent); ++row) {
        const QModelIndex index = model.index(row, 0, parent);
        lines << QString(depth * 2, QLatin1Char(' ')) + index.data().toString();
        dump(model, index, depth + 1, lines);
    }
}

QStringList lines(const SessionTreeModel& model)
{
    QStringList result;
    dump(model, {}, 0, result);
    return result;
}

class TreeOfASession : public ::testing::Test
{
protected:
    void SetUp() override
    {
        m_file.emplace(tests::newSession(m_folder / "tree.twinlamp"));
        m_clip = tests::addMeasuredClip(*m_file, "narrow", {24.0, 25.0, 26.0});
        tests::addMeasuredClip(*m_file, "wide", {20.0, 21.0});
        m_model.setSession(m_file->session());
    }

    session::samples::TemporaryFolder m_folder;
    std::optional<session::store::SessionFile> m_file;
    session::ClipId m_clip;
    SessionTreeModel m_model;
};

} // namespace

TEST_F(TreeOfASession, ShowsSettingsRunsAndClips)
{
    EXPECT_EQ(lines(m_model),
        (QStringList {QStringLiteral("narrow"), QStringLiteral("  run 1"),
            QStringLiteral("    narrow.mp4"), QStringLiteral("wide"), QStringLiteral("  run 1"),
            QStringLiteral("    wide.mp4")}));
}

TEST_F(TreeOfASession, HistogramsStandOnOneAxisAndCountEveryPress)
{
    const auto narrow
        = m_model.index(0, 0, {}).data(SessionTreeModel::FiguresRole).value<SettingFigures>();
    const auto wide
        = m_model.index(1, 0, {}).data(SessionTreeModel::FiguresRole).value<SettingFigures>();
    EXPECT_EQ(narrow.histogram.axis, wide.histogram.axis);
    const auto total = [](const stats::Histogram& histogram) {
        std::int64_t sum = histogram.under + histogram.over;
        for (const std::int64_t count : histogram.counts) {
            sum += count;
        }
        return sum;
    };
    EXPECT_EQ(total(narrow.histogram), 3);
    EXPECT_EQ(total(wide.histogram), 2);
}

TEST_F(TreeOfASession, PassesTheModelTesterOverRandomSessions)
{
    const Tester tester(&m_model, Tester::FailureReportingMode::Fatal);
    session::samples::Random random(99);
    session::Session session = m_file->session();
    const std::vector measurements {session.clips.front().measurement};
    for (int round = 0; round < 60; ++round) {
        const auto edit = session::samples::randomEdit(session, random, measurements);
        auto after = session::applied(session, edit);
        ASSERT_TRUE(after.has_value());
        session = *after;
        m_model.setSession(session);
        ASSERT_EQ(m_model.rowCount({}), static_cast<int>(session.settings.size()));
    }
}

TEST_F(TreeOfASession, RenamingIsNoReset)
{
    QSignalSpy resets(&m_model, &QAbstractItemModel::modelReset);
    const auto& session = m_file->session();
    ASSERT_TRUE(m_file->apply(*session::renameSetting(session, session.settings[0].id, "slim")));
    m_model.setSession(m_file->session());
    EXPECT_EQ(resets.count(), 0);
    EXPECT_EQ(lines(m_model).front(), QStringLiteral("slim"));
}

TEST_F(TreeOfASession, EditingANameAsksOnly)
{
    QSignalSpy asked(&m_model, &SessionTreeModel::renameAsked);
    m_model.setData(m_model.index(0, 0, {}), QStringLiteral(" slim "), Qt::EditRole);
    ASSERT_EQ(asked.count(), 1);
    EXPECT_EQ(asked.front().at(1).toString(), QStringLiteral("slim"));
    EXPECT_EQ(lines(m_model).front(), QStringLiteral("narrow"));
}

TEST_F(TreeOfASession, DraggedClipAsksToBeMoved)
{
    QSignalSpy asked(&m_model, &SessionTreeModel::moveAsked);
    const QModelIndex clip = m_model.indexOf({TreeKind::Clip, m_clip.value});
    ASSERT_TRUE(clip.isValid());
    const std::unique_ptr<QMimeData> data(m_model.mimeData({clip}));
    m_model.dropMimeData(data.get(), Qt::MoveAction, -1, -1, m_model.index(1, 0, {}));
    ASSERT_EQ(asked.count(), 1);
    EXPECT_EQ(asked.front().at(0).value<TreePlace>(), (TreePlace {TreeKind::Clip, m_clip.value}));
    EXPECT_EQ(asked.front().at(1).value<TreePlace>().kind, TreeKind::Setting);
}

TEST_F(TreeOfASession, DroppedFilesAreTold)
{
    QSignalSpy dropped(&m_model, &SessionTreeModel::filesDropped);
    QMimeData data;
    data.setUrls({QUrl::fromLocalFile(QStringLiteral("/bench/x.mp4"))});
    m_model.dropMimeData(&data, Qt::CopyAction, -1, -1, m_model.index(0, 0, {}));
    ASSERT_EQ(dropped.count(), 1);
    EXPECT_EQ(dropped.front().at(0).toStringList(), QStringList {QStringLiteral("/bench/x.mp4")});
}

TEST_F(TreeOfASession, ClipNotesReplaceWhatTheClipSays)
{
    const QModelIndex clip = m_model.indexOf({TreeKind::Clip, m_clip.value});
    EXPECT_EQ(clip.data(SessionTreeModel::NoteRole).toString(), QStringLiteral("3 edges"));
    m_model.setClipNotes({{m_clip, QStringLiteral("waits")}});
    EXPECT_EQ(clip.data(SessionTreeModel::NoteRole).toString(), QStringLiteral("waits"));
    m_model.setClipNotes({});
    EXPECT_EQ(clip.data(SessionTreeModel::NoteRole).toString(), QStringLiteral("3 edges"));
}

} // namespace twinlamp::ui

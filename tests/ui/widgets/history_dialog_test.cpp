// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/support/temporary_folder.h"
#include "tests/ui/session_helpers.h"
#include "ui/edits/session_document.h"
#include "ui/widgets/history_dialog.h"

#include <gtest/gtest.h>

namespace twinlamp::ui {

TEST(HistoryDialog, FollowsTheSessionAndFilters)
{
    const twinlamp::tests::TemporaryFolder folder;
    SessionDocument document;
    auto file = tests::newSession(folder / "history.twinlamp");
    tests::addMeasuredClip(file, "narrow", {24.0, 25.5});
    document.take(std::move(file));
    HistoryDialog dialog(document);
    const int before = dialog.shownEntries();
    ASSERT_GT(before, 0);
    session::Conditions conditions;
    conditions.bitRateMbit = 17.5;
    ASSERT_TRUE(document.push(session::changeConditions(
        document.session(), document.session().settings.front().id, conditions)));
    EXPECT_EQ(dialog.shownEntries(), before + 1);
    document.history()->undo();
    EXPECT_EQ(dialog.shownEntries(), before + 2);
    dialog.setFilter(QStringLiteral("17.5")); // a value that stands below two entries
    EXPECT_EQ(dialog.shownEntries(), 2);
    dialog.setFilter(QStringLiteral("no such word"));
    EXPECT_EQ(dialog.shownEntries(), 0);
}

TEST(HistoryDialog, WithoutASessionItIsEmpty)
{
    SessionDocument document;
    HistoryDialog dialog(document);
    EXPECT_EQ(dialog.shownEntries(), 0);
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/support/temporary_folder.h"
#include "tests/ui/session_helpers.h"
#include "ui/widgets/notes_dialog.h"

#include <QLineEdit>
#include <QPlainTextEdit>

#include <gtest/gtest.h>

namespace twinlamp::ui {

TEST(NotesDialog, KeepsWhatWasTypedAsOneStep)
{
    const twinlamp::tests::TemporaryFolder folder;
    auto file = tests::newSession(folder / "notes.twinlamp");
    const session::ClipId clip = tests::addMeasuredClip(file, "narrow", {24.0, 25.5});
    const session::Session& session = file.session();
    const session::RunId run = session.runs.front().id;
    NotesDialog dialog(session, run, clip);
    const auto same = dialog.edit(session);
    ASSERT_TRUE(same);
    EXPECT_TRUE(same->isEmpty());
    dialog.findChild<QLineEdit*>()->setText(QStringLiteral(" Evening in the barn "));
    const auto fields = dialog.findChildren<QPlainTextEdit*>();
    ASSERT_EQ(fields.size(), 3);
    fields[0]->setPlainText(QStringLiteral("two links\nof one kind"));
    fields[1]->setPlainText(QStringLiteral("warm"));
    fields[2]->setPlainText(QStringLiteral("camera slipped"));
    const auto edit = dialog.edit(session);
    ASSERT_TRUE(edit);
    ASSERT_TRUE(file.apply(*edit));
    EXPECT_EQ(file.session().name, "Evening in the barn");
    EXPECT_EQ(file.session().notes, "two links\nof one kind");
    EXPECT_EQ(file.session().runs.front().notes, "warm");
    EXPECT_EQ(file.session().clips.front().notes, "camera slipped");
    ASSERT_TRUE(file.revert(*edit));
    EXPECT_EQ(file.session().notes, "");
}

TEST(NotesDialog, ShowsOnlyWhatIsInHand)
{
    const twinlamp::tests::TemporaryFolder folder;
    auto file = tests::newSession(folder / "notes.twinlamp");
    tests::addMeasuredClip(file, "narrow", {24.0, 25.5});
    const NotesDialog dialog(file.session(), {}, {});
    EXPECT_EQ(dialog.findChildren<QPlainTextEdit*>().size(), 1);
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/edits/clip_filing.h"
#include "ui/edits/tree_edits.h"

#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

using session::Session;

/// Two settings of two runs with a clip each.
Session twoSettings()
{
    Session session;
    for (const char* name : {"narrow", "wide"}) {
        FilingTarget target;
        target.newSettingName = name;
        const std::vector<std::filesystem::path> clips {
            std::string("/bench/") + name + "-1.mp4", std::string("/bench/") + name + "-2.mp4"};
        const auto filing = filingOf(session, "/bench/s.twinlamp", clips, target);
        session = *session::applied(session, filing->edit);
    }
    return session;
}

Session after(const Session& session, const Result<session::Edit>& edit)
{
    EXPECT_TRUE(edit.has_value());
    return edit ? session::applied(session, *edit).value_or(Session {}) : Session {};
}

TreePlace place(session::ClipId id) { return {TreeKind::Clip, id.value}; }

TreePlace place(session::RunId id) { return {TreeKind::Run, id.value}; }

TreePlace place(session::SettingId id) { return {TreeKind::Setting, id.value}; }

} // namespace

TEST(SettingOf, KnowsItForEveryKindOfRow)
{
    const Session s = twoSettings();
    const auto wide = s.settings[1].id;
    EXPECT_EQ(settingOf(s, place(wide)), wide);
    EXPECT_EQ(settingOf(s, place(s.runs[3].id)), wide);
    EXPECT_EQ(settingOf(s, place(s.clips[2].id)), wide);
    EXPECT_FALSE(settingOf(s, {TreeKind::Clip, 12'345}));
    EXPECT_FALSE(settingOf(s, {TreeKind::Setting, 12'345}));
}

TEST(Moving, ClipGoesIntoTheRunOfWhatItIsDroppedOn)
{
    const Session s = twoSettings();
    const auto clip = s.clips[0].id;
    EXPECT_EQ(session::find(after(s, moving(s, place(clip), place(s.runs[2].id))), clip)->run,
        s.runs[2].id);
    EXPECT_EQ(session::find(after(s, moving(s, place(clip), place(s.clips[2].id))), clip)->run,
        s.clips[2].run);
    EXPECT_EQ(session::find(after(s, moving(s, place(clip), place(s.settings[1].id))), clip)->run,
        s.runs[3].id); // the last run of that setting
}

TEST(Moving, RunGoesIntoASettingAndSettingsChangePlaces)
{
    const Session s = twoSettings();
    const Session moved = after(s, moving(s, place(s.runs[1].id), place(s.settings[1].id)));
    EXPECT_EQ(session::find(moved, s.runs[1].id)->setting, s.settings[1].id);
    EXPECT_EQ(session::find(moved, s.runs[1].id)->name, "run 3"); // 1 and 2 are taken there
    const Session turned = after(s, moving(s, place(s.settings[1].id), place(s.settings[0].id)));
    EXPECT_EQ(turned.settings[0].name, "wide");
}

TEST(Removal, TakesWhatIsBelowAlong)
{
    const Session s = twoSettings();
    const Session without = after(s, removal(s, place(s.settings[0].id)));
    EXPECT_EQ(without.settings.size(), 1U);
    EXPECT_EQ(without.runs.size(), 2U);
    EXPECT_EQ(without.clips.size(), 2U);
    EXPECT_EQ(after(s, removal(s, place(s.runs[0].id))).clips.size(), 3U);
    EXPECT_EQ(after(s, removal(s, place(s.clips[0].id))).runs.size(), 4U);
}

TEST(Renaming, RefusesANameInUse)
{
    const Session s = twoSettings();
    EXPECT_EQ(after(s, renaming(s, place(s.settings[0].id), "slim")).settings[0].name, "slim");
    EXPECT_FALSE(renaming(s, place(s.settings[0].id), "wide").has_value());
    EXPECT_FALSE(renaming(s, place(s.runs[0].id), "").has_value());
    EXPECT_TRUE(renaming(s, place(s.clips[0].id), "any")->isEmpty());
}

TEST(RemovalOfClips, TakesTheirEmptyRunsAndSettingsAlong)
{
    const Session s = twoSettings();
    const std::vector narrow {s.clips[0].id, s.clips[1].id};
    const auto edit = removalOfClips(s, narrow);
    const Session without = after(s, edit);
    EXPECT_EQ(without.clips.size(), 2U);
    EXPECT_EQ(without.runs.size(), 2U);
    ASSERT_EQ(without.settings.size(), 1U);
    EXPECT_EQ(without.settings[0].name, "wide");
    EXPECT_EQ(english(edit->label), "remove 2 clips");
    EXPECT_EQ(session::reverted(without, *edit).value_or(Session {}), s);
}

TEST(RemovalOfClips, LeavesASettingThatSaysSomething)
{
    Session s = twoSettings();
    session::Conditions conditions;
    conditions.distanceM = 20.0;
    s = after(s, session::changeConditions(s, s.settings[0].id, conditions));
    const std::vector narrow {s.clips[0].id, s.clips[1].id};
    const Session without = after(s, removalOfClips(s, narrow));
    EXPECT_EQ(without.settings.size(), 2U);
    EXPECT_EQ(without.runs.size(), 2U);
}

TEST(RemovalOfClips, UnknownClipIsAnError)
{
    const std::vector unknown {session::ClipId {12'345}};
    EXPECT_FALSE(removalOfClips(twoSettings(), unknown).has_value());
}

} // namespace twinlamp::ui

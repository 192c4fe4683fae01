// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/edits/clip_filing.h"

#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

using session::Session;

const std::vector<std::filesystem::path> threeClips {
    "/bench/a.mp4", "/bench/b.mp4", "/bench/c.mp4"};
const std::filesystem::path sessionFile = "/bench/evening.twinlamp";

Session after(const Session& session, const session::Edit& edit)
{
    auto result = session::applied(session, edit);
    EXPECT_TRUE(result.has_value());
    return result.value_or(Session {});
}

} // namespace

TEST(FilingOf, NewSettingAndARunForEachClip)
{
    const auto filing = filingOf({}, sessionFile, threeClips, {});
    ASSERT_TRUE(filing.has_value());
    const Session session = after({}, filing->edit);
    ASSERT_EQ(session.settings.size(), 1U);
    EXPECT_EQ(session.runs.size(), 3U);
    ASSERT_EQ(session.clips.size(), 3U);
    EXPECT_EQ(session.clips[1].id, filing->clips[1]);
    EXPECT_EQ(session.clips[1].file.relativePath, "b.mp4");
    EXPECT_EQ(session::settingOf(session, session.clips[2]), filing->setting);
}

TEST(FilingOf, OneRunForAllWhenTheLinkWasNotRestarted)
{
    FilingTarget target;
    target.runEach = false;
    const auto filing = filingOf({}, sessionFile, threeClips, target);
    ASSERT_TRUE(filing.has_value());
    const Session session = after({}, filing->edit);
    EXPECT_EQ(session.runs.size(), 1U);
    EXPECT_EQ(session::clipsOf(session, session.runs[0].id).size(), 3U);
}

TEST(FilingOf, ClipsJoinTheRigOfTheLastOne)
{
    Session session;
    session::Rig rig;
    rig.name = "tripod";
    rig.id = session::newId<session::RigId>();
    session = after(session, *session::addRig(session, rig));
    const auto first = filingOf(session, sessionFile, std::vector {threeClips[0]}, {});
    ASSERT_TRUE(first.has_value());
    session = after(session, first->edit);
    EXPECT_EQ(session.clips[0].rig, rig.id) << "the only rig";
    session::Rig other;
    other.name = "clamp";
    other.id = session::newId<session::RigId>();
    session = after(session, *session::addRig(session, other));
    session = after(session, *session::assignRig(session, session.clips[0].id, other.id));
    session = after(
        session, filingOf(session, sessionFile, std::vector {threeClips[1]}, {}).value().edit);
    EXPECT_EQ(session.clips[1].rig, other.id);
    session = after(session, *session::assignRig(session, session.clips[1].id, {}));
    session = after(
        session, filingOf(session, sessionFile, std::vector {threeClips[2]}, {}).value().edit);
    EXPECT_FALSE(session.clips[2].rig) << "taken out of every rig by hand";
}

TEST(FilingOf, IsOneStepThatCanBeTakenBack)
{
    const auto filing = filingOf({}, sessionFile, threeClips, {});
    ASSERT_TRUE(filing.has_value());
    const auto back = session::reverted(after({}, filing->edit), filing->edit);
    ASSERT_TRUE(back.has_value());
    EXPECT_EQ(*back, Session {});
    EXPECT_EQ(english(filing->edit.label), "add 3 clips");
}

TEST(FilingOf, GoesOnInTheRunInHand)
{
    const auto first = filingOf({}, sessionFile, std::vector {threeClips[0]}, {});
    const Session session = after({}, first->edit);
    FilingTarget target;
    target.setting = first->setting;
    target.run = session.runs[0].id;
    const auto second = filingOf(session, sessionFile, std::vector {threeClips[1]}, target);
    ASSERT_TRUE(second.has_value());
    const Session both = after(session, second->edit);
    EXPECT_EQ(both.runs.size(), 1U);
    EXPECT_EQ(both.clips.size(), 2U);
}

TEST(FreeNames, SkipThoseInUse)
{
    Session session = after({}, filingOf({}, sessionFile, threeClips, {})->edit);
    EXPECT_EQ(freeSettingName(session, "link setting"), "link setting 2");
    EXPECT_EQ(freeRunName(session, session.settings[0].id, "run"), "run 4");
}

TEST(ClipsOutOfDate, AreThoseWithoutAMeasurementOfTheirOptions)
{
    Session session = after({}, filingOf({}, sessionFile, threeClips, {})->edit);
    EXPECT_EQ(clipsOutOfDate(session).size(), 3U);
    session::ClipMeasurement measurement;
    measurement.options.searchMs = 150.0;
    session.clips[0].measurement = measurement;
    session.clips[0].options = measurement.options;
    session.clips[1].measurement = measurement;
    session.clips[1].options.searchMs = 90.0;
    const auto outOfDate = clipsOutOfDate(session);
    ASSERT_EQ(outOfDate.size(), 2U);
    EXPECT_EQ(outOfDate[0], session.clips[1].id);
}

} // namespace twinlamp::ui

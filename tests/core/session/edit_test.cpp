// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/edit.h"
#include "core/session/edit_chain.h"
#include "tests/core/session/session_samples.h"

#include <gtest/gtest.h>

namespace twinlamp::session {
namespace {

/// One setting with one run and one measured clip of four presses.
struct OneClip
{
    Session session;
    SettingId setting = newId<SettingId>();
    RunId run = newId<RunId>();
    ClipId clip = newId<ClipId>();

    OneClip()
    {
        take(addSetting(session, setting, "narrow"));
        take(addRun(session, run, setting, "run 1"));
        Clip entry;
        entry.id = clip;
        entry.run = run;
        entry.file = {"one.mp4", "/footage/one.mp4", "aa", 100};
        take(addClip(session, entry));
        ClipMeasurement measurement;
        measurement.clip.captureRate = {1000, 1};
        measurement.clip.frames = 2000;
        for (int i = 0; i < 4; ++i) {
            measurement.presses.push_back(samples::press(i, 100.0 + 400.0 * i, 25.0));
        }
        take(setMeasurement(session, clip, SharedValue<ClipMeasurement>(measurement)));
    }

    void take(const Result<Edit>& edit)
    {
        ASSERT_TRUE(edit) << edit.error().detail;
        session = applied(session, *edit).value();
    }

    [[nodiscard]] const Clip& entry() const { return *find(session, clip); }
};

TEST(AddSetting, NamesAreNeededAndUnique)
{
    OneClip one;
    EXPECT_EQ(addSetting(one.session, newId<SettingId>(), "").error().why, Cause::InvalidValue);
    const auto twice = addSetting(one.session, newId<SettingId>(), "narrow");
    ASSERT_FALSE(twice);
    EXPECT_EQ(twice.error().detail,
        "there is a link setting named \"narrow\" already; choose another name");
}

TEST(ChangeRig, ShortestHoldHasBounds)
{
    OneClip one;
    Rig rig;
    rig.id = newId<RigId>();
    rig.name = "tripod";
    one.take(addRig(one.session, rig));
    for (const double ms : {0.0, -1.0, 60'000.001}) {
        rig.shortestHold = latencyFromMs(ms);
        EXPECT_EQ(changeRig(one.session, rig).error().why, Cause::InvalidValue) << ms;
    }
    EXPECT_EQ(changeRig(one.session, rig).error().detail,
        "a shortest hold is above 0 ms and at most 60000 ms, not 60000.001 ms; type the shortest "
        "time between two switchings, or nothing");
    const Session before = one.session;
    rig.shortestHold = longestShortestHold;
    const auto edit = changeRig(one.session, rig);
    one.take(edit);
    EXPECT_EQ(one.session.rigs[0].shortestHold, longestShortestHold);
    EXPECT_EQ(reverted(one.session, *edit).value(), before);
}

TEST(AddRun, SameNameIsFineInAnotherSetting)
{
    OneClip one;
    EXPECT_FALSE(addRun(one.session, newId<RunId>(), one.setting, "run 1"));
    const auto other = newId<SettingId>();
    one.take(addSetting(one.session, other, "wide"));
    EXPECT_TRUE(addRun(one.session, newId<RunId>(), other, "run 1"));
    EXPECT_FALSE(addRun(one.session, newId<RunId>(), newId<SettingId>(), "run 1"));
}

TEST(RemoveSetting, TakesRunsAndClipsAndGivesThemBack)
{
    OneClip one;
    const Session before = one.session;
    const Edit edit = removeSetting(one.session, one.setting).value();
    one.take(edit);
    EXPECT_TRUE(one.session.settings.empty());
    EXPECT_TRUE(one.session.runs.empty());
    EXPECT_TRUE(one.session.clips.empty());
    EXPECT_EQ(reverted(one.session, edit).value(), before);
}

TEST(ReorderSetting, PutsOneBeforeAnotherAndBack)
{
    OneClip one;
    const auto second = newId<SettingId>();
    const auto third = newId<SettingId>();
    one.take(addSetting(one.session, second, "wide"));
    one.take(addSetting(one.session, third, "far"));
    const Session before = one.session;
    const Edit edit = reorderSetting(one.session, third, one.setting).value();
    one.take(edit);
    EXPECT_EQ(one.session.settings[0].name, "far");
    EXPECT_EQ(one.session.settings[1].name, "narrow");
    EXPECT_EQ(one.session.settings[2].name, "wide");
    EXPECT_EQ(reverted(one.session, edit).value(), before);
    one.take(reorderSetting(one.session, third, {}));
    EXPECT_EQ(one.session.settings[2].name, "far");
    EXPECT_TRUE(reorderSetting(one.session, third, {}).value().isEmpty());
}

TEST(AddClip, SameContentIsRefusedWithItsSetting)
{
    OneClip one;
    Clip again;
    again.id = newId<ClipId>();
    again.run = one.run;
    again.file = {"copy.mp4", "/footage/copy.mp4", "aa", 100};
    const auto refused = addClip(one.session, again);
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().detail,
        "copy.mp4 is in this session already, filed under \"narrow\"; move it there or remove it "
        "first");
    again.file.sha256.clear();
    EXPECT_TRUE(addClip(one.session, again)) << "content not known yet";
}

TEST(MoveClip, GoesToARunOfAnotherSetting)
{
    OneClip one;
    const auto setting = newId<SettingId>();
    const auto run = newId<RunId>();
    one.take(addSetting(one.session, setting, "wide"));
    one.take(addRun(one.session, run, setting, "run 1"));
    const Edit edit = moveClip(one.session, one.clip, run).value();
    EXPECT_EQ(english(edit.label), "move clip one.mp4 to wide, run 1");
    one.take(edit);
    EXPECT_EQ(settingOf(one.session, one.entry()), setting);
    EXPECT_TRUE(clipsOf(one.session, one.run).empty());
    EXPECT_EQ(clipsOf(one.session, setting).size(), 1U);
}

TEST(EditFunctions, ChangeOfNothingIsEmpty)
{
    OneClip one;
    EXPECT_TRUE(renameSetting(one.session, one.setting, "narrow").value().isEmpty());
    EXPECT_TRUE(changeInfo(one.session, infoOf(one.session)).isEmpty());
    EXPECT_TRUE(moveClip(one.session, one.clip, one.run).value().isEmpty());
    EXPECT_TRUE(resetMark(one.session, {one.clip, 0}, Mark::Onset).value().isEmpty());
    EXPECT_TRUE(resetChoice(one.session, {one.clip, 0}).value().isEmpty());
    EXPECT_TRUE(acceptPress(one.session, {one.clip, 0}).value().isEmpty())
        << "the program accepted it already";
}

TEST(EditFunctions, UnknownEntriesAreErrors)
{
    const OneClip one;
    const Session& s = one.session;
    for (const Result<Edit>& edit :
        {renameSetting(s, newId<SettingId>(), "x"), removeRun(s, newId<RunId>()),
            removeClip(s, newId<ClipId>()), assignRig(s, one.clip, newId<RigId>()),
            moveMark(s, {one.clip, 9}, Mark::Onset, {}), moveRun(s, one.run, newId<SettingId>())}) {
        ASSERT_FALSE(edit);
        EXPECT_EQ(edit.error().why, Cause::NotFound);
    }
}

TEST(Applied, StaleEditIsRefused)
{
    OneClip one;
    const Edit stale = renameSetting(one.session, one.setting, "wide").value();
    one.take(renameSetting(one.session, one.setting, "far"));
    const Result<Session> result = applied(one.session, stale);
    ASSERT_FALSE(result);
    EXPECT_EQ(result.error().why, Cause::InvalidValue);
}

TEST(MoveMark, DragsOfOneMarkAreOneStep)
{
    OneClip one;
    const Session before = one.session;
    const PressAddress at {one.clip, 2};
    const Edit first = moveMark(one.session, at, Mark::FirstLight, realTimeFromMs(926.0)).value();
    one.take(first);
    const Edit second = moveMark(one.session, at, Mark::FirstLight, realTimeFromMs(927.0)).value();
    one.take(second);
    const auto both = merged(first, second);
    ASSERT_TRUE(both);
    EXPECT_EQ(reverted(one.session, *both).value(), before);
    EXPECT_EQ(one.entry().corrections,
        (std::vector<PressCorrection> {
            {2, {{Mark::FirstLight, realTimeFromMs(927.0)}}, std::nullopt}}));

    const Edit otherMark = moveMark(one.session, at, Mark::Onset, realTimeFromMs(899.0)).value();
    EXPECT_FALSE(merged(second, otherMark));
    const Edit otherPress
        = moveMark(one.session, {one.clip, 1}, Mark::FirstLight, realTimeFromMs(530.0)).value();
    EXPECT_FALSE(merged(second, otherPress));
}

TEST(MoveMark, OutsideTheClipIsRefused)
{
    const OneClip one; // 2000 frames at 1000 frames/s
    EXPECT_FALSE(moveMark(one.session, {one.clip, 0}, Mark::Onset, realTimeFromMs(-0.1)));
    EXPECT_FALSE(moveMark(one.session, {one.clip, 0}, Mark::Onset, realTimeFromMs(2000.1)));
    EXPECT_TRUE(moveMark(one.session, {one.clip, 0}, Mark::Onset, realTimeFromMs(1999.0)));
}

TEST(ResetMark, LeavesNoTraceOfTheCorrection)
{
    OneClip one;
    const Session before = one.session;
    one.take(moveMark(one.session, {one.clip, 1}, Mark::Settled, realTimeFromMs(530.0)));
    one.take(resetMark(one.session, {one.clip, 1}, Mark::Settled));
    EXPECT_EQ(one.session, before);
}

TEST(SetAsidePress, NeedsAReasonAndAcceptTakesItBack)
{
    OneClip one;
    const Session before = one.session;
    EXPECT_FALSE(setAsidePress(one.session, {one.clip, 3}, ""));
    one.take(setAsidePress(one.session, {one.clip, 3}, "hand in the picture"));
    EXPECT_EQ(one.entry().corrections[0].choice, (HandChoice {false, "hand in the picture"}));
    one.take(acceptPress(one.session, {one.clip, 3}));
    EXPECT_EQ(one.session, before);
}

TEST(EditChain, StepsThatBuildOnEachOtherAreOne)
{
    OneClip one;
    const auto setting = newId<SettingId>();
    const auto run = newId<RunId>();
    EditChain chain(one.session);
    ASSERT_TRUE(chain.add(addSetting(chain.session(), setting, "wide")));
    ASSERT_TRUE(chain.add(addRun(chain.session(), run, setting, "run 1")));
    ASSERT_TRUE(chain.add(Edit {}));
    ASSERT_TRUE(chain.add(moveClip(chain.session(), one.clip, run)));
    const Edit so = chain.edit();
    EXPECT_FALSE(chain.add(renameSetting(chain.session(), setting, "narrow")));
    EXPECT_EQ(chain.edit(), so) << "a step that fails leaves no mark";
    EXPECT_EQ(english(chain.edit().label), "add link setting wide");
    EXPECT_EQ(applied(one.session, chain.edit()).value(), chain.session());
    EXPECT_EQ(reverted(chain.session(), chain.edit()).value(), one.session);
}

TEST(RemoveRig, ClipsThenNameNone)
{
    OneClip one;
    Rig rig;
    rig.id = newId<RigId>();
    rig.name = "tall tripod";
    one.take(addRig(one.session, rig));
    one.take(assignRig(one.session, one.clip, rig.id));
    const Session before = one.session;
    const Edit edit = removeRig(one.session, rig.id).value();
    one.take(edit);
    EXPECT_FALSE(one.entry().rig);
    EXPECT_EQ(reverted(one.session, edit).value(), before);
}

TEST(SetMeasurement, CarriesCorrectionsToTheSamePresses)
{
    OneClip one;
    one.take(setAsidePress(one.session, {one.clip, 1}, "hand in the picture"));
    one.take(moveMark(one.session, {one.clip, 3}, Mark::Onset, realTimeFromMs(1301.0)));
    // The new measurement finds an edge more at the start, and no longer the last one.
    ClipMeasurement anew = *one.entry().measurement;
    anew.presses.clear();
    for (int i = 0; i < 4; ++i) {
        Press press = samples::press(i, i == 0 ? 20.0 : 100.4 + 400.0 * (i - 1), 25.0);
        press.edge = i % 2 == 0 ? Edge::Off : Edge::On;
        anew.presses.push_back(press);
    }
    one.take(setMeasurement(one.session, one.clip, SharedValue<ClipMeasurement>(anew)));
    EXPECT_EQ(one.entry().corrections,
        (std::vector<PressCorrection> {{2, {}, HandChoice {false, "hand in the picture"}}}));
}

} // namespace
} // namespace twinlamp::session

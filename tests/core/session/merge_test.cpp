// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/entry_fields.h"
#include "core/session/store/file_result.h"
#include "core/session/store/merge_file.h"
#include "tests/core/session/session_samples.h"

#include <algorithm>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <set>

namespace twinlamp::session::store {
namespace {

using samples::mustApply;
using testing::Contains;
using testing::HasSubstr;
using testing::IsEmpty;

std::vector<std::string> sentencesOf(const MergeReport& report)
{
    std::vector<std::string> sentences;
    for (const Sentence& note : report.notes) {
        sentences.push_back(english(note));
    }
    for (const MergeConflict& conflict : report.conflicts) {
        sentences.push_back(english(conflict.sentence));
    }
    return sentences;
}

class MergeFile : public testing::Test
{
protected:
    [[nodiscard]] SessionFile made(const std::string& name) const
    {
        return SessionFile::create(m_folder / (name + ".twinlamp"), name).value();
    }

    /// A clip whose content is `hash`, of six presses 250 ms apart.
    ClipId filed(SessionFile& file, const std::string& hash, const FilingPlace& place,
        double latencyMs = 25.0)
    {
        ClipResult result = samples::clipResult(m_random, 0, 2000);
        result.clip.sha256 = hash;
        for (int index = 0; index < 6; ++index) {
            result.presses.push_back(
                samples::press(index, 100.0 + 250.0 * index, latencyMs + index));
        }
        return fileResult(file, place, m_folder / (hash + ".mp4"), std::move(result), {}).value();
    }

    static MergeReport merged(
        SessionFile& here, const SessionFile& there, Prefer prefer = Prefer::Here)
    {
        const auto report = mergeFile(here, there, prefer);
        EXPECT_TRUE(report) << report.error().detail;
        return report.value_or(MergeReport {});
    }

    samples::TemporaryFolder m_folder;
    samples::Random m_random {8};
};

TEST_F(MergeFile, SessionsWithNothingInCommonAddUp)
{
    auto a = made("a");
    auto b = made("b");
    filed(a, "one", {"narrow", "run 1", "tripod"});
    filed(b, "two", {"wide", "run 1", "clamp"});
    const ClipId three = filed(b, "three", {"wide", "run 2", ""});
    mustApply(b, setAsidePress(b.session(), {three, 1}, "hand shook"));
    mustApply(b, setReadout(b.session(), {three, 0}, 22.0));
    const auto traces = *b.traces(find(b.session(), three)->measurement->traces);
    const auto historyOfBoth = a.history()->size() + b.history()->size();

    const MergeReport report = merged(a, b);
    EXPECT_EQ(report.counts, (MergeCounts {1, 2, 2, 1, 0, 0}));
    EXPECT_THAT(report.conflicts, IsEmpty());
    EXPECT_EQ(a.history()->size(), historyOfBoth + 1) << "both histories, and the merge itself";
    ASSERT_TRUE(a.close());
    const auto again = SessionFile::open(a.path(), {OpenMode::ReadOnly, {}, {}});
    ASSERT_TRUE(again);
    EXPECT_EQ(again->session(), a.session());
    EXPECT_EQ(again->session().clips.size(), 3U);
    const Clip* clip = findClip(again->session(), "three");
    ASSERT_NE(clip, nullptr);
    EXPECT_EQ(clip->corrections, find(b.session(), three)->corrections);
    EXPECT_EQ(clip->readouts, find(b.session(), three)->readouts);
    EXPECT_EQ(**again->traces(clip->measurement->traces), *traces)
        << "traces came along and outlive the closing";
    EXPECT_EQ(again->history()->size(), historyOfBoth + 1);
}

TEST_F(MergeFile, SecondTimeBringsNothing)
{
    auto a = made("a");
    auto b = made("b");
    filed(a, "one", {"narrow", "run 1", "tripod"});
    filed(b, "one", {"narrow", "run 1", "tripod"}, 31.0);
    filed(b, "two", {"narrow", "run 1", "tripod"});
    Conditions conditions;
    conditions.bitRateMbit = 12.0;
    mustApply(a, changeConditions(a.session(), a.session().settings[0].id, conditions));
    conditions.bitRateMbit = 30.0;
    mustApply(b, changeConditions(b.session(), b.session().settings[0].id, conditions));
    merged(a, b);
    const Session once = a.session();
    const auto history = a.history().value();
    const MergeReport second = merged(a, b);
    EXPECT_EQ(a.session(), once);
    EXPECT_EQ(a.history().value(), history);
    EXPECT_FALSE(second.changed);
    EXPECT_THAT(
        sentencesOf(second), Contains("b.twinlamp holds nothing that is not here already."));
}

TEST_F(MergeFile, SameContentUnderAnotherNameIsOneClip)
{
    auto a = made("a");
    auto b = made("b");
    const ClipId id = filed(a, "one", {"narrow", "run 1", ""});
    ASSERT_TRUE(fileResult(b, {"narrow", "run 1", ""}, m_folder / "renamed.mp4",
        [&] {
            ClipResult result = samples::clipResult(m_random, 2, 100);
            result.clip.sha256 = "one";
            result.presses = find(a.session(), id)->measurement->presses;
            return result;
        }(),
        {}));
    const MergeReport report = merged(a, b);
    EXPECT_EQ(a.session().clips.size(), 1U);
    EXPECT_EQ(a.session().runs.size(), 1U) << "a run that shares the clip is the same power-up";
    EXPECT_EQ(report.counts.clipsInBoth, 1);
    EXPECT_THAT(sentencesOf(report),
        Contains("Clips that are in both sessions, by their content: 1. Each is here once."));
}

TEST_F(MergeFile, RunsOfOneNameAreTwoPowerUps)
{
    auto a = made("a");
    auto b = made("b");
    filed(a, "one", {"narrow", "run 1", ""});
    filed(b, "two", {"narrow", "run 1", ""});
    const MergeReport report = merged(a, b);
    ASSERT_EQ(a.session().settings.size(), 1U);
    ASSERT_EQ(a.session().runs.size(), 2U);
    EXPECT_EQ(a.session().runs[1].name, "run 1 (2)");
    EXPECT_EQ(findClip(a.session(), "two")->run, a.session().runs[1].id);
    EXPECT_THAT(sentencesOf(report),
        Contains("Run run 1 of narrow is another power-up in the other session; it was brought in "
                 "as run 1 (2)."));
    EXPECT_THAT(sentencesOf(report), Contains(HasSubstr("it was taken for the same")));
}

TEST_F(MergeFile, SettingsOfOneNameThatContradictAreKeptApart)
{
    auto a = made("a");
    auto b = made("b");
    Conditions conditions;
    conditions.bitRateMbit = 12.0;
    mustApply(a, addSetting(a.session(), newId<SettingId>(), "narrow", conditions));
    conditions.bitRateMbit = 30.0;
    mustApply(b, addSetting(b.session(), newId<SettingId>(), "narrow", conditions));
    filed(b, "two", {"narrow", "run 1", ""});
    const MergeReport report = merged(a, b);
    ASSERT_EQ(a.session().settings.size(), 2U);
    const LinkSetting* apart = findSetting(a.session(), "narrow (2)");
    ASSERT_NE(apart, nullptr);
    EXPECT_EQ(apart->conditions.bitRateMbit, 30.0);
    EXPECT_EQ(settingOf(a.session(), *findClip(a.session(), "two")), apart->id);
    EXPECT_THAT(sentencesOf(report),
        Contains("Link setting narrow is another one in the other session (bit_rate_mbit 12 here, "
                 "30 there); it was brought in as narrow (2)."));
}

TEST_F(MergeFile, WhatOneLeavesOpenTheOtherFillsIn)
{
    auto a = made("a");
    auto b = made("b");
    Conditions conditions;
    conditions.bitRateMbit = 12.0;
    conditions.notes = "first";
    mustApply(a, addSetting(a.session(), newId<SettingId>(), "narrow", conditions));
    conditions.distanceM = 3.0;
    conditions.antenna = "patch";
    conditions.notes = "second";
    mustApply(b, addSetting(b.session(), newId<SettingId>(), "narrow", conditions));
    mustApply(b, changeReadouts(b.session(), b.session().settings[0].id, {{22.0, "menu"}}));
    merged(a, b);
    conditions.notes = "first\nsecond";
    ASSERT_EQ(a.session().settings.size(), 1U);
    EXPECT_EQ(a.session().settings[0].conditions, conditions);
    EXPECT_EQ(a.session().settings[0].readouts, (std::vector<SettingReadout> {{22.0, "menu"}}));
}

TEST_F(MergeFile, ShortestHoldOfARigFillsWhatIsOpenAndMayContradict)
{
    auto a = made("a");
    filed(a, "one", {"narrow", "run 1", "tripod"});
    auto b = made("b");
    filed(b, "two", {"wide", "run 1", "tripod"});
    Rig rig = b.session().rigs[0];
    rig.shortestHold = latencyFromMs(400.0);
    mustApply(b, changeRig(b.session(), rig));
    merged(a, b);
    ASSERT_EQ(a.session().rigs.size(), 1U);
    EXPECT_EQ(a.session().rigs[0].shortestHold, latencyFromMs(400.0));
    rig.shortestHold = latencyFromMs(150.0);
    mustApply(b, changeRig(b.session(), rig));
    const MergeReport report = merged(a, b);
    EXPECT_EQ(a.session().rigs.size(), 2U);
    ASSERT_FALSE(report.conflicts.empty());
    EXPECT_EQ(report.conflicts[0].sentence.id, "merge-rig-apart");
    EXPECT_EQ(report.conflicts[0].sentence.values[1], "shortest_hold_ms 400 here, 150 there");
}

/// A copy of a session and the session itself, changed apart.
TEST_F(MergeFile, CopiesThatWentApartComeTogether)
{
    auto a = made("a");
    const ClipId clip = filed(a, "one", {"narrow", "run 1", "tripod"});
    ASSERT_TRUE(a.copyTo(m_folder / "b.twinlamp"));
    auto b = SessionFile::open(m_folder / "b.twinlamp", {OpenMode::Write, {}, {}}).value();
    mustApply(a, setAsidePress(a.session(), {clip, 1}, "here"));
    mustApply(a, moveMark(a.session(), {clip, 0}, Mark::FirstLight, RealTime {126'000'000}));
    mustApply(b, setAsidePress(b.session(), {clip, 1}, "there"));
    mustApply(b, setAsidePress(b.session(), {clip, 3}, "only there"));
    mustApply(b, moveMark(b.session(), {clip, 0}, Mark::Onset, RealTime {101'000'000}));
    filed(b, "two", {"narrow", "run 1", "tripod"});
    const auto historyBefore = a.history()->size();

    const MergeReport report = merged(a, b);
    EXPECT_EQ(a.session().runs.size(), 1U);
    EXPECT_EQ(a.session().clips.size(), 2U);
    const Clip& both = *find(a.session(), clip);
    ASSERT_EQ(both.corrections.size(), 3U);
    EXPECT_EQ(both.corrections[0].marks,
        (std::vector<MarkCorrection> {
            {Mark::Onset, RealTime {101'000'000}}, {Mark::FirstLight, RealTime {126'000'000}}}));
    EXPECT_EQ(both.corrections[1].choice, (HandChoice {false, "here"}));
    EXPECT_EQ(both.corrections[2].choice, (HandChoice {false, "only there"}));
    ASSERT_EQ(report.conflicts.size(), 1U);
    EXPECT_EQ(english(report.conflicts[0].sentence),
        "In clip one.mp4, press 2 choice is set aside: here here and set aside: there in the other "
        "session; the one here stands.");
    EXPECT_EQ(report.historyEntries, 4) << "those that both had from before come once";
    EXPECT_EQ(a.history()->size(), historyBefore + 5);
    EXPECT_THAT(a.history()->back().changes,
        Contains(FieldChange {"clip", "one.mp4", "press 2 choice (not taken over)",
            "set aside: there", "set aside: here"}))
        << "what fell stays readable";
}

TEST_F(MergeFile, PreferThereTakesTheOtherValue)
{
    auto a = made("a");
    const ClipId clip = filed(a, "one", {"narrow", "run 1", "tripod"});
    SessionInfo info = infoOf(a.session());
    info.lateLimit = latencyFromMs(40.0);
    mustApply(a, changeInfo(a.session(), info));
    ASSERT_TRUE(a.copyTo(m_folder / "b.twinlamp"));
    auto b = SessionFile::open(m_folder / "b.twinlamp", {OpenMode::Write, {}, {}}).value();
    mustApply(a, setReadout(a.session(), {clip, 0}, 20.0));
    mustApply(b, setReadout(b.session(), {clip, 0}, 21.0));
    info.lateLimit = latencyFromMs(38.0);
    mustApply(b, changeInfo(b.session(), info));
    mustApply(b, renameSetting(b.session(), b.session().settings[0].id, "narrower"));
    const MergeReport report = merged(a, b, Prefer::There);
    EXPECT_EQ(a.session(), b.session());
    EXPECT_EQ(report.conflicts.size(), 3U);
}

TEST_F(MergeFile, OtherMeasurementOfOneClipIsToldAndHandWorkMovesAlong)
{
    auto a = made("a");
    auto b = made("b");
    const ClipId clip = filed(a, "one", {"narrow", "run 1", ""}, 25.0);
    const ClipId other = filed(b, "one", {"narrow", "run 1", ""}, 26.0);
    mustApply(b, setAsidePress(b.session(), {other, 4}, "hand shook"));
    MergeReport report = merged(a, b);
    ASSERT_EQ(report.conflicts.size(), 1U);
    EXPECT_EQ(report.conflicts[0].sentence.values[2], "measurement");
    const Clip& here = *find(a.session(), clip);
    EXPECT_EQ(here.measurement->presses[0].latency, latencyFromMs(25.0));
    ASSERT_EQ(here.corrections.size(), 1U);
    EXPECT_EQ(here.corrections[0].press, 4);

    report = merged(a, b, Prefer::There);
    EXPECT_EQ(find(a.session(), clip)->measurement->presses[0].latency, latencyFromMs(26.0));
    EXPECT_EQ(find(a.session(), clip)->corrections.size(), 1U);
    EXPECT_TRUE(a.traces(find(a.session(), clip)->measurement->traces));
}

TEST_F(MergeFile, CorrectionOfAPressThatIsNotHereIsTold)
{
    auto a = made("a");
    auto b = made("b");
    filed(a, "one", {"narrow", "run 1", ""});
    const ClipId other = filed(b, "one", {"narrow", "run 1", ""});
    ClipMeasurement shifted = *find(b.session(), other)->measurement;
    shifted.presses[2].reference = realTimeFromMs(1900.0);
    mustApply(b, setMeasurement(b.session(), other, shifted));
    mustApply(b, setAsidePress(b.session(), {other, 2}, "hand shook"));
    const MergeReport report = merged(a, b);
    EXPECT_THAT(sentencesOf(report),
        Contains("In clip one.mp4, press 3 of one session was changed by hand (set aside: hand "
                 "shook), and the measurement that stands has no such press: it was not taken "
                 "over."));
}

TEST_F(MergeFile, TracesAreFetchedWhereTheSessionHereHasNone)
{
    auto a = made("a");
    const ClipId clip = filed(a, "one", {"narrow", "run 1", ""});
    ASSERT_TRUE(a.copyTo(m_folder / "light.twinlamp", {false, true}));
    auto light = SessionFile::open(m_folder / "light.twinlamp", {OpenMode::Write, {}, {}}).value();
    EXPECT_FALSE(find(light.session(), clip)->measurement->traces);
    merged(light, a);
    EXPECT_EQ(**light.traces(find(light.session(), clip)->measurement->traces),
        **a.traces(find(a.session(), clip)->measurement->traces));
    EXPECT_EQ(light.session(), a.session()) << "and the models with them";
}

TEST_F(MergeFile, IntoItselfOrAReadOnlySessionIsRefused)
{
    auto a = made("a");
    const auto reader = SessionFile::open(a.path(), {OpenMode::ReadOnly, {}, {}});
    EXPECT_EQ(mergeFile(a, *reader).error().why, Cause::InvalidValue);
    auto b = made("b");
    auto readOnly = SessionFile::open(b.path(), {OpenMode::ReadOnly, {}, {}});
    EXPECT_EQ(mergeFile(*readOnly, a).error().why, Cause::NoAccess);
}

/// Every word of a session in one bag, without what may differ between sessions.
std::multiset<std::string> contentOf(const Session& session)
{
    std::multiset<std::string> content;
    const auto add = [&content](const std::string& owner, const Fields& fields) {
        for (const NamedField& field : fields) {
            if (!field.text.empty() && field.name != "name" && field.name != "run"
                && field.name != "setting" && field.name != "rig") {
                content.insert(owner + field.name + "=" + field.text);
            }
        }
    };
    for (const LinkSetting& setting : session.settings) {
        add("setting ", fieldsOf(setting));
    }
    for (const Rig& rig : session.rigs) {
        add("rig ", fieldsOf(rig));
    }
    for (const Clip& clip : session.clips) {
        add("clip " + fileNameOf(clip) + " ", fieldsOf(clip, session));
    }
    for (const RigCheck& check : session.rigChecks) {
        add("check ", fieldsOf(check, session));
    }
    return content;
}

class MergeOfRandomSessions : public testing::TestWithParam<unsigned>
{
protected:
    /// A session of random edits.
    void walk(SessionFile& file, samples::Random& random, int edits) const
    {
        const auto measurements = samples::keptMeasurements(file, random, 3);
        for (int i = 0; i < edits; ++i) {
            const Edit edit = samples::randomEdit(file.session(), random, measurements);
            const auto done = file.apply(edit);
            ASSERT_TRUE(done) << done.error().detail;
        }
    }

    samples::TemporaryFolder m_folder;
};

TEST_P(MergeOfRandomSessions, UnrelatedOnesLoseAndDoubleNothing)
{
    samples::Random random(GetParam());
    auto a = SessionFile::create(m_folder / "a.twinlamp", "a").value();
    auto b = SessionFile::create(m_folder / "b.twinlamp", "b").value();
    walk(a, random, 120);
    walk(b, random, 120);
    auto expected = contentOf(a.session());
    expected.merge(contentOf(b.session()));
    const Session before = b.session();
    const auto report = mergeFile(a, b);
    ASSERT_TRUE(report) << report.error().detail;
    EXPECT_EQ(contentOf(a.session()), expected);
    EXPECT_EQ(b.session(), before) << "the other one is only read";
    const auto second = mergeFile(a, b);
    ASSERT_TRUE(second) << second.error().detail;
    EXPECT_FALSE(second->changed);
    ASSERT_TRUE(a.close());
    const auto again = SessionFile::open(a.path(), {OpenMode::ReadOnly, {}, {}});
    ASSERT_TRUE(again) << again.error().detail;
    EXPECT_EQ(again->session(), a.session());
    for (const Clip& clip : again->session().clips) {
        if (clip.measurement) {
            EXPECT_TRUE(again->traces(clip.measurement->traces));
        }
    }
}

TEST_P(MergeOfRandomSessions, CopyThatWentOnBringsAllThatItAdded)
{
    samples::Random random(GetParam() + 100);
    auto a = SessionFile::create(m_folder / "a.twinlamp", "a").value();
    walk(a, random, 80);
    ASSERT_TRUE(a.copyTo(m_folder / "b.twinlamp"));
    auto b = SessionFile::open(m_folder / "b.twinlamp", {OpenMode::Write, {}, {}}).value();
    walk(b, random, 80);
    for (const Prefer prefer : {Prefer::Here, Prefer::There}) {
        const auto report = mergeFile(a, b, prefer);
        ASSERT_TRUE(report) << report.error().detail;
        for (const Clip& there : b.session().clips) {
            const auto same = std::ranges::count_if(a.session().clips, [&](const Clip& clip) {
                return clip.id == there.id
                    || (!clip.file.sha256.empty() && clip.file.sha256 == there.file.sha256);
            });
            EXPECT_GE(same, 1) << fileNameOf(there);
        }
        for (const LinkSetting& there : b.session().settings) {
            EXPECT_NE(find(a.session(), there.id), nullptr) << there.name;
        }
        EXPECT_GE(a.history()->size(), b.history()->size());
        const auto second = mergeFile(a, b, prefer);
        ASSERT_TRUE(second) << second.error().detail;
        EXPECT_FALSE(second->changed);
    }
}

INSTANTIATE_TEST_SUITE_P(Seeds, MergeOfRandomSessions, testing::Range(1U, 9U));

} // namespace
} // namespace twinlamp::session::store

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/dates.h"
#include "core/session/store/file_result.h"
#include "tests/core/session/session_samples.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace twinlamp::session::store {
namespace {

using samples::mustApply;
using testing::AllOf;
using testing::Contains;
using testing::ElementsAre;
using testing::Field;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::MatchesRegex;

class History : public testing::Test
{
protected:
    History()
        : m_file(SessionFile::create(m_folder / "bench.twinlamp", "bench").value())
    {
    }

    /// A clip of 6 presses in "narrow", run 1.
    ClipId filed()
    {
        samples::Random random(4);
        ClipResult result = samples::clipResult(random, 6, 2000);
        result.presses[0] = samples::press(0, 100.0, 28.5);
        return fileResult(
            m_file, {"narrow", "run 1", ""}, m_folder / "bench one.mp4", std::move(result), {})
            .value();
    }

    [[nodiscard]] HistoryEntry last() const { return m_file.history().value().back(); }

    samples::TemporaryFolder m_folder;
    SessionFile m_file;
};

TEST_F(History, NewSessionHasNone) { EXPECT_THAT(m_file.history().value(), IsEmpty()); }

TEST_F(History, SaysWhoChangedWhatWhenFromWhatToWhat)
{
    const auto setting = newId<SettingId>();
    mustApply(m_file, addSetting(m_file.session(), setting, "narrow"));
    Conditions conditions;
    conditions.bitRateMbit = 12.0;
    mustApply(m_file, changeConditions(m_file.session(), setting, conditions));
    conditions.bitRateMbit = 30.5;
    conditions.antenna = "patch";
    mustApply(m_file, changeConditions(m_file.session(), setting, conditions));
    ASSERT_EQ(m_file.history().value().size(), 3U);
    const HistoryEntry entry = last();
    EXPECT_EQ(entry.who, account());
    EXPECT_THAT(entry.at,
        MatchesRegex("20[0-9][0-9]-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9]"
                     "\\.[0-9][0-9][0-9]Z"));
    EXPECT_EQ(english(entry.label), "change the conditions of narrow");
    EXPECT_FALSE(entry.takenBack);
    EXPECT_THAT(entry.changes,
        ElementsAre(FieldChange {"link-setting", "narrow", "bit_rate_mbit", "12", "30.5"},
            FieldChange {"link-setting", "narrow", "antenna", std::nullopt, "patch"}));
}

TEST_F(History, RigTellsItsShortestHoldInMs)
{
    Rig rig;
    rig.id = newId<RigId>();
    rig.name = "tripod";
    mustApply(m_file, addRig(m_file.session(), rig));
    rig = m_file.session().rigs[0];
    rig.shortestHold = latencyFromMs(280.1);
    mustApply(m_file, changeRig(m_file.session(), rig));
    EXPECT_EQ(english(last().label), "change rig tripod");
    EXPECT_THAT(last().changes,
        ElementsAre(FieldChange {"rig", "tripod", "shortest_hold_ms", std::nullopt, "280.1"}));
}

TEST_F(History, UndoneStepIsToldAsSuch)
{
    const Edit edit = addSetting(m_file.session(), newId<SettingId>(), "narrow").value();
    ASSERT_TRUE(m_file.apply(edit));
    ASSERT_TRUE(m_file.revert(edit));
    const HistoryEntry entry = last();
    EXPECT_TRUE(entry.takenBack);
    EXPECT_EQ(english(entry.label), "add link setting narrow");
    EXPECT_THAT(entry.changes,
        ElementsAre(FieldChange {"link-setting", "narrow", "name", "narrow", std::nullopt}));
}

TEST_F(History, CorrectionNamesPressMarkAndWhatWasMeasured)
{
    const ClipId clip = filed();
    mustApply(
        m_file, moveMark(m_file.session(), {clip, 0}, Mark::FirstLight, RealTime {130'250'000}));
    EXPECT_THAT(last().changes,
        ElementsAre(FieldChange {"clip", "bench one.mp4", "press 1 first-light_ms", std::nullopt,
            "130.25 (measured 128.5)"}));
    mustApply(m_file, setAsidePress(m_file.session(), {clip, 2}, "hand shook"));
    EXPECT_THAT(last().changes,
        ElementsAre(FieldChange {
            "clip", "bench one.mp4", "press 3 choice", std::nullopt, "set aside: hand shook"}));
    mustApply(m_file, setReadout(m_file.session(), {clip, 0}, 27.0));
    mustApply(m_file, setReadout(m_file.session(), {clip, 0}, std::nullopt));
    EXPECT_THAT(last().changes,
        ElementsAre(
            FieldChange {"clip", "bench one.mp4", "press 1 readout_ms", "27", std::nullopt}));
}

TEST_F(History, MeasuringAnewWithOtherFiguresIsTold)
{
    const ClipId clip = filed();
    ClipMeasurement other = *find(m_file.session(), clip)->measurement;
    other.presses[0].latency = latencyFromMs(29.0);
    mustApply(m_file, setMeasurement(m_file.session(), clip, other));
    EXPECT_THAT(last().changes,
        Contains(AllOf(Field(&FieldChange::field, "measurement"),
            Field(&FieldChange::to, testing::Optional(HasSubstr("other figures"))))));
}

TEST_F(History, ChangeThatFailsLeavesNoEntry)
{
    mustApply(m_file, addSetting(m_file.session(), newId<SettingId>(), "narrow"));
    const Edit stale = changeInfo(Session {}, {"other", "", {}});
    EXPECT_FALSE(m_file.apply(stale));
    EXPECT_EQ(m_file.history().value().size(), 1U);
}

TEST_F(History, IsKeptInTheFileAndInItsCopies)
{
    filed();
    const auto history = m_file.history().value();
    ASSERT_TRUE(m_file.copyTo(m_folder / "copy.twinlamp"));
    ASSERT_TRUE(m_file.close());
    for (const char* name : {"bench.twinlamp", "copy.twinlamp"}) {
        const auto again = SessionFile::open(m_folder / name, {OpenMode::ReadOnly, {}, {}});
        EXPECT_EQ(again->history().value(), history) << name;
    }
}

/// What the history of a random walk says is what the entries were and became.
TEST_F(History, EveryEditOfARandomWalkHasAnEntryThatSaysSomething)
{
    samples::Random random(31);
    const auto measurements = samples::keptMeasurements(m_file, random, 3);
    std::size_t made = 0;
    while (made < 200) {
        const Edit edit = samples::randomEdit(m_file.session(), random, measurements);
        if (edit.isEmpty()) {
            continue;
        }
        ASSERT_TRUE(m_file.apply(edit));
        ++made;
        const bool onlyMoves = edit.label.id == "edit-move-setting";
        ASSERT_TRUE(onlyMoves || !last().changes.empty()) << english(edit.label);
        for (const FieldChange& change : last().changes) {
            ASSERT_NE(change.from, change.to) << change.entry << " " << change.field;
        }
    }
    EXPECT_EQ(m_file.history().value().size(), made);
}

} // namespace
} // namespace twinlamp::session::store

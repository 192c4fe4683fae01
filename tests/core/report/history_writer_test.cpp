// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/history_writer.h"

#include <gtest/gtest.h>

namespace twinlamp::report {
namespace {

session::HistoryEntry entry(bool takenBack)
{
    return {7, "2026-05-17T09:30:00.125Z", "tester", "0.1.0",
        {"edit-change-conditions", {"narrow"}}, takenBack,
        {{"link-setting", "narrow", "bit_rate_mbit", "12", "30.5"},
            {"link-setting", "narrow", "notes", std::nullopt, "two\nlines"}}};
}

TEST(HistoryText, IsALineForEachEntryAndEachValue)
{
    EXPECT_EQ(historyText({entry(false), entry(true)}),
        "2026-05-17T09:30:00.125Z  tester  change the conditions of narrow\n"
        "    link-setting narrow, bit_rate_mbit: 12 -> 30.5\n"
        "    link-setting narrow, notes: nothing -> two lines\n"
        "2026-05-17T09:30:00.125Z  tester  undone: change the conditions of narrow\n"
        "    link-setting narrow, bit_rate_mbit: 12 -> 30.5\n"
        "    link-setting narrow, notes: nothing -> two lines\n");
}

TEST(HistoryText, SaysSoWhereNothingWasChanged)
{
    EXPECT_EQ(historyText({}), "Nothing was changed since this session keeps a history.\n");
}

TEST(HistoryJson, HasEveryValueAndNullForNothing)
{
    const Json json = historyJson({entry(true)});
    ASSERT_EQ(json["entries"].size(), 1U);
    const Json& one = json["entries"][0];
    EXPECT_EQ(one["at"], "2026-05-17T09:30:00.125Z");
    EXPECT_EQ(one["who"], "tester");
    EXPECT_EQ(one["what"], "change the conditions of narrow");
    EXPECT_EQ(one["undone"], true);
    EXPECT_EQ(one["changes"][0],
        (Json {{"kind", "link-setting"}, {"entry", "narrow"}, {"field", "bit_rate_mbit"},
            {"from", "12"}, {"to", "30.5"}}));
    EXPECT_TRUE(one["changes"][1]["from"].is_null());
}

} // namespace
} // namespace twinlamp::report

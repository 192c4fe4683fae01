// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/check_report.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace twinlamp::report {

namespace {

using ::testing::HasSubstr;

CheckResult zeroCheck()
{
    CheckResult check;
    check.file = "check.mp4";
    check.edges = 12;
    check.figures = ZeroFigures {0.31274, 0.0183, 0.02, -7.512, 0.238, {40, 60}, {140, 170}};
    return check;
}

CheckResult timeBaseCheck()
{
    CheckResult check;
    check.file = "check.mp4";
    check.edges = 20;
    check.figures = TimeBaseFigures {239.79123, 0.0042, 240.0, 2000.0, 0.0, 10, 0.01};
    return check;
}

std::string said(const CheckResult& check)
{
    std::string text;
    for (const Sentence& sentence : checkSentences(check)) {
        text += english(sentence) + "\n";
    }
    return text;
}

} // namespace

TEST(CheckSentences, CarryTheDigitsThatTheHalfWidthsDo)
{
    EXPECT_EQ(said(zeroCheck()),
        "The goggle lamp shows the switching 0.313 ms after the reference lamp, +- 0.018 ms (95 "
        "%), "
        "from 12 switchings.\n"
        "Line time -7.51 us, +- 0.24 us (95 %), from the rows within the lamps.\n");
    EXPECT_EQ(said(timeBaseCheck()),
        "The camera takes 239.791 frames/s, +- 0.004 (95 %), from 20 switchings over 10 periods of "
        "2000 ms.\n"
        "That is -870 ppm off the labelled 240 frames/s.\n");
}

TEST(CheckSentences, SaySkewAndZeroInside)
{
    CheckResult check = zeroCheck();
    check.figures
        = ZeroFigures {0.01, 0.02, 0.02, std::nullopt, std::nullopt, {40, 60}, {140, 170}};
    check.flags = {Flag::RowSkewInside};
    EXPECT_THAT(said(check), HasSubstr("The interval holds zero"));
    EXPECT_THAT(said(check), HasSubstr("rows 40 to 59 and 140 to 169"));
    EXPECT_EQ(verdictOf(check), CheckVerdict::Look);
}

TEST(VerdictOfCheck, TellsGoodFromMend)
{
    CheckResult check = zeroCheck();
    EXPECT_EQ(verdictOf(check), CheckVerdict::Good);
    check.notes = {{"exposure-estimated", {"1.6"}}};
    EXPECT_EQ(verdictOf(check), CheckVerdict::Good);
    check.notes.push_back({"lamps-by-place", {}});
    EXPECT_EQ(verdictOf(check), CheckVerdict::Look);
    check.notes.push_back({"zero-large", {"25"}});
    EXPECT_EQ(verdictOf(check), CheckVerdict::Mend);
}

TEST(CheckJson, HoldsTheAgreedKeys)
{
    const Json zero = checkJson(zeroCheck(), {}, {{1, 2, 3, 4}, RectPx {5, 6, 7, 8}});
    EXPECT_EQ(zero["difference_ms"], 0.31274);
    EXPECT_EQ(zero["uncertainty_ms"], 0.0183);
    EXPECT_EQ(zero["line_time_us"], -7.512);
    EXPECT_EQ(zero["line_time_uncertainty_us"], 0.238);
    EXPECT_EQ(zero["edges"], 12);
    EXPECT_TRUE(zero["flags"].empty());
    const Json rate = checkJson(timeBaseCheck(), {}, {{1, 2, 3, 4}, std::nullopt});
    EXPECT_EQ(rate["capture_rate_hz"], 239.79123);
    EXPECT_EQ(rate["uncertainty_hz"], 0.0042);
    EXPECT_EQ(rate["labelled_rate_hz"], 240.0);
    EXPECT_EQ(rate["edges"], 20);
    EXPECT_TRUE(emptyCheckJson(CheckKind::Zero, "why")["difference_ms"].is_null());
}

} // namespace twinlamp::report

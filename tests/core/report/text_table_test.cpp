// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/text_table.h"

#include <gtest/gtest.h>

namespace twinlamp::report {
namespace {

TEST(TextTable, ColumnsAreAsWideAsTheirWidestCell)
{
    TextTable table({{"name", Align::Left}, {"ms"}, {"doubts", Align::Left}});
    table.addRow({"on", "25.3", ""});
    table.addRow({"full frame", "9", "weak"});
    EXPECT_EQ(table.text(),
        "name          ms  doubts\n"
        "on          25.3\n"
        "full frame     9  weak\n");
}

TEST(TextTable, EmptyColumnsAreLeftOut)
{
    TextTable table({{"a"}, {"b"}, {"c"}});
    table.addRow({"1", "", "3"});
    EXPECT_EQ(table.text(), "a  c\n1  3\n");
}

TEST(TextTable, WidthCountsSignsNotBytes)
{
    TextTable table({{"name", Align::Left}, {"n"}});
    table.addRow({"Größe", "1"});
    table.addRow({"plain", "2"});
    EXPECT_EQ(table.text(), "name   n\nGröße  1\nplain  2\n");
}

} // namespace
} // namespace twinlamp::report

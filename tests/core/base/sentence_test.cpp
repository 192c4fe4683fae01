// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/flag.h"
#include "core/base/sentence.h"

#include <gtest/gtest.h>
#include <set>

namespace twinlamp {
namespace {

TEST(English, FillsValuesInOrder)
{
    EXPECT_EQ(
        english({"edit-rename-setting", {"narrow", "wide"}}), "rename link setting narrow to wide");
}

TEST(English, ValueThatLooksLikeAMarkIsLeftAlone)
{
    EXPECT_EQ(english({"edit-rename-setting", {"a", "{0}"}}), "rename link setting a to {0}");
    EXPECT_EQ(english({"edit-rename-setting", {"{1}", "b"}}), "rename link setting {1} to b");
}

TEST(English, UnknownIdIsItsOwnText) { EXPECT_EQ(english({"no-such-id", {}}), "no-such-id"); }

TEST(FlagTexts, EveryFlagHasAnIdOfItsOwnAndASentence)
{
    std::set<std::string_view> ids;
    for (std::size_t i = 0; i < flagCount; ++i) {
        const auto flag = static_cast<Flag>(i);
        EXPECT_TRUE(ids.insert(flagId(flag)).second) << flagId(flag);
        EXPECT_EQ(flagFromId(flagId(flag)), flag);
        EXPECT_TRUE(flagSentence(flag).ends_with(".")) << flagId(flag);
    }
    EXPECT_EQ(flagFromId("no-such-flag"), std::nullopt);
}

} // namespace
} // namespace twinlamp

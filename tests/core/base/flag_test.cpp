// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/flag.h"
#include "core/base/press.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <gtest/gtest.h>
#include <set>
#include <string>
#include <string_view>

namespace twinlamp {
namespace {

class EveryFlag : public ::testing::TestWithParam<std::size_t>
{
protected:
    [[nodiscard]] static Flag flag() { return static_cast<Flag>(GetParam()); }
};

bool isSentence(std::string_view text)
{
    return text.size() > 10 && std::isupper(static_cast<unsigned char>(text.front())) != 0
        && text.back() == '.' && text.find('.') == text.size() - 1;
}

TEST_P(EveryFlag, SaysWhatWasSeenWhatItDoesAndHowToMendIt)
{
    const FlagWords words = flagWords(flag());
    EXPECT_TRUE(isSentence(words.seen)) << words.seen;
    EXPECT_TRUE(isSentence(words.effect)) << words.effect;
    EXPECT_TRUE(isSentence(words.remedy)) << words.remedy;
    EXPECT_EQ(flagSentence(flag()),
        std::string(words.seen) + " " + std::string(words.effect) + " "
            + std::string(words.remedy));
}

TEST_P(EveryFlag, SpeaksOfAFigureInItsEffect)
{
    // Words for what a press yields: an effect that names none of them says nothing about it.
    constexpr std::array<std::string_view, 9> figures {"latency", "onset", "first light", "figure",
        "press", "full frame", "half width", "level", "First light"};
    const std::string_view effect = flagWords(flag()).effect;
    EXPECT_TRUE(
        std::ranges::any_of(figures,
            [&](std::string_view figure) { return effect.find(figure) != std::string_view::npos; })
        || flag() == Flag::OneSign)
        << effect;
}

TEST_P(EveryFlag, BeginsItsRemedyWithSomethingToDo)
{
    constexpr std::array<std::string_view, 15> verbs {"Raise", "Widen", "Hold", "Leave", "Diffuse",
        "Move", "Lower", "Draw", "Drive", "Film", "Lengthen", "Give", "Record", "Copy", "Let"};
    constexpr std::array<std::string_view, 2> others {"Make", "Put"};
    const std::string_view remedy = flagWords(flag()).remedy;
    const auto begins = [&](std::string_view verb) { return remedy.starts_with(verb); };
    EXPECT_TRUE(std::ranges::any_of(verbs, begins) || std::ranges::any_of(others, begins))
        << remedy << " (a new verb goes into this list)";
}

TEST_P(EveryFlag, SaysSoWhereItSetsAside)
{
    const FlagWords words = flagWords(flag());
    EXPECT_EQ(canSetAside(flag()),
        words.effect.find("the press is set aside") != std::string_view::npos
            || words.effect.find("The press is set aside") != std::string_view::npos)
        << words.effect;
}

INSTANTIATE_TEST_SUITE_P(
    Flags, EveryFlag, ::testing::Range(std::size_t {0}, flagCount), [](const auto& param) {
        std::string name(flagId(static_cast<Flag>(param.param)));
        std::erase(name, '-');
        return name;
    });

TEST(SetAside, LeavesTheReasonWithThePress)
{
    Press press;
    addFlag(press.flags, Flag::GoggleWeak);
    EXPECT_TRUE(reasonsSetAside(press).empty());
    setAside(press, Flag::AmbiguousPairing);
    EXPECT_FALSE(press.accepted);
    EXPECT_EQ(reasonsSetAside(press), Flags {Flag::AmbiguousPairing});
}

TEST(SetAside, AFlagAloneIsNoReasonWhileThePressCounts)
{
    Press press;
    addFlag(press.flags, Flag::ClipEdge);
    EXPECT_TRUE(reasonsSetAside(press).empty());
}

TEST(SetAside, RefusesAFlagThatIsNoReason)
{
    Press press;
    EXPECT_DEATH(setAside(press, Flag::GoggleWeak), "");
}

} // namespace
} // namespace twinlamp

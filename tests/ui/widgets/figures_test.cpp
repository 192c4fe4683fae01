// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/figures.h"

#include <QStringList>

#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

const QString minus {QChar(0x2212)};

} // namespace

TEST(DecimalsFor, FollowTheUncertainty)
{
    EXPECT_EQ(decimalsFor(0.08, 9), 2);
    EXPECT_EQ(decimalsFor(0.14, 9), 2);
    EXPECT_EQ(decimalsFor(0.4, 9), 1);
    EXPECT_EQ(decimalsFor(1.2, 9), 1);
    EXPECT_EQ(decimalsFor(3.0, 9), 0);
    EXPECT_EQ(decimalsFor(40.0, 9), 0);
    EXPECT_EQ(decimalsFor(0.0001, 9), 3); // more than the program can know
    EXPECT_EQ(decimalsFor({}, 2), 2);
    EXPECT_EQ(decimalsFor(0.0, 2), 2);
}

TEST(LatencyText, CutsFigureAndUncertaintyAlike)
{
    EXPECT_EQ(latencyText(latencyFromMs(25.3127), latencyFromMs(0.081)),
        QStringLiteral("25.31 ") + plusMinus + QStringLiteral("0.08") + thinSpace
            + QStringLiteral("ms"));
    EXPECT_EQ(latencyText(latencyFromMs(25.3127), {}),
        QStringLiteral("25.31") + thinSpace + QStringLiteral("ms"));
}

TEST(NumberText, HasATrueMinusAndNoMinusZero)
{
    EXPECT_EQ(numberText(-1.24, 1), minus + QStringLiteral("1.2"));
    EXPECT_EQ(numberText(-0.01, 1), QStringLiteral("0.0"));
}

TEST(RateText, DropsZerosOnly)
{
    EXPECT_EQ(rateText(240.0), QStringLiteral("240"));
    EXPECT_EQ(rateText(239.76), QStringLiteral("239.76"));
    EXPECT_EQ(rateText(100.0), QStringLiteral("100"));
}

TEST(CountText, OneIsSingular)
{
    EXPECT_EQ(countText(1, QStringLiteral("%1 press"), QStringLiteral("%1 presses")),
        QStringLiteral("1 press"));
    EXPECT_EQ(countText(0, QStringLiteral("%1 press"), QStringLiteral("%1 presses")),
        QStringLiteral("0 presses"));
}

TEST(FlagWords, EveryFlagHasWordsOfItsOwn)
{
    QStringList seen;
    for (std::size_t i = 0; i < flagCount; ++i) {
        const QString words = flagName(static_cast<Flag>(i));
        EXPECT_FALSE(words.isEmpty()) << i;
        EXPECT_FALSE(seen.contains(words)) << words.toStdString();
        seen << words;
    }
    EXPECT_EQ(doubtsText({Flag::NoResponse, Flag::ClipEdge}),
        flagName(Flag::NoResponse) + QStringLiteral(", ") + flagName(Flag::ClipEdge));
}

} // namespace twinlamp::ui

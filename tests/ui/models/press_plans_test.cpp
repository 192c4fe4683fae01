// SPDX-License-Identifier: GPL-3.0-or-later
// Counts: 59 and 93 are the classical numbers for 95 % at 95 % (Wilks; 0.95^59 < 0.05).
#include "ui/models/press_plans.h"

#include <gtest/gtest.h>

namespace twinlamp::ui {

TEST(PressPlans, FourClaimsAreAnsweredTogether)
{
    const PlanAnswers answers = planAnswers({}, std::nullopt);
    EXPECT_EQ(answers.plans[0].answer, QStringLiteral("59 presses"));
    EXPECT_EQ(answers.plans[1].answer, QStringLiteral("59 presses"));
    EXPECT_TRUE(answers.plans[0].beside.contains(QStringLiteral("3 runs of 20")));
    EXPECT_TRUE(answers.plans[3].answer.endsWith(QStringLiteral("in each setting")));
    PlanQuestions two;
    two.twoSided = true;
    EXPECT_EQ(planAnswers(two, std::nullopt).plans[1].answer, QStringLiteral("93 presses"));
}

TEST(PressPlans, AssumptionsStandOnceEach)
{
    QStringList assumptions = planAnswers({}, std::nullopt).assumptions;
    EXPECT_GT(assumptions.size(), 3);
    const auto before = assumptions.size();
    assumptions.removeDuplicates();
    EXPECT_EQ(assumptions.size(), before);
}

TEST(PressPlans, PressesThatWereMadeAreCounted)
{
    EXPECT_TRUE(planAnswers({}, PressesMade {24, 3})
                    .plans[0]
                    .beside.endsWith(QStringLiteral("24 made, 35 more")));
    EXPECT_TRUE(planAnswers({}, PressesMade {60, 3})
                    .plans[0]
                    .beside.endsWith(QStringLiteral("60 made: enough")));
    EXPECT_TRUE(planAnswers({}, PressesMade {60, 1})
                    .plans[0]
                    .beside.endsWith(QStringLiteral("fewer than 3 runs")));
}

TEST(PressPlans, ValuesThatCannotBePlannedWithAreToldInPlace)
{
    PlanQuestions asked;
    asked.differenceMs = 1e-9;
    const PlanAnswers answers = planAnswers(asked, std::nullopt);
    EXPECT_EQ(answers.plans[3].answer, QString(QChar(0x2013)));
    EXPECT_FALSE(answers.plans[3].beside.isEmpty());
    EXPECT_EQ(answers.plans[0].answer, QStringLiteral("59 presses")) << "the others stand";
}

} // namespace twinlamp::ui

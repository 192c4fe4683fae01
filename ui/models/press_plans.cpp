// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/models/press_plans.h"

#include "core/stats/compare/run_comparison.h"
#include "ui/models/comparison_words.h"
#include "ui/widgets/figures.h"

#include <QCoreApplication>

namespace twinlamp::ui {

namespace {

class Words
{
    Q_DECLARE_TR_FUNCTIONS(PressPlans)

public:
    static QString presses(std::int64_t count, bool isEach)
    {
        return isEach ? tr("%1 presses in each setting").arg(count)
                      : countText(count, tr("%1 press"), tr("%1 presses"));
    }

    static QString runs(std::int64_t presses)
    {
        const std::int64_t each = (presses + stats::fewestRuns - 1) / stats::fewestRuns;
        return tr("as %1 runs of %2").arg(stats::fewestRuns).arg(each);
    }

    static QString confidence(double reached)
    {
        return tr("confidence %1 %").arg(numberText(100.0 * reached, 1));
    }

    static QString power(double reached)
    {
        return tr("chance of telling %1 %").arg(numberText(100.0 * reached, 1));
    }

    static QString made(const PressesMade& made, std::int64_t needed)
    {
        if (made.presses < needed) {
            return tr("%1 made, %2 more").arg(made.presses).arg(needed - made.presses);
        }
        return made.runs < stats::fewestRuns
            ? tr("%1 made, but in fewer than %2 runs").arg(made.presses).arg(stats::fewestRuns)
            : tr("%1 made: enough").arg(made.presses);
    }
};

enum class Reached
{
    Confidence,
    Power
};

PlanWords wordsOf(const Result<stats::Plan>& plan, Reached reached,
    const std::optional<PressesMade>& made, QStringList& assumptions)
{
    if (!plan) {
        return {enDash, QString::fromStdString(plan.error().detail)};
    }
    QStringList beside {Words::runs(plan->presses),
        reached == Reached::Power ? Words::power(plan->reached) : Words::confidence(plan->reached)};
    if (made) {
        beside << Words::made(*made, plan->presses);
    }
    for (const Sentence& sentence : plan->assumptions) {
        const QString text = sentenceText(sentence);
        if (!assumptions.contains(text)) {
            assumptions << text;
        }
    }
    return {Words::presses(plan->presses, reached == Reached::Power),
        beside.join(QStringLiteral("; "))};
}

} // namespace

PlanAnswers planAnswers(const PlanQuestions& asked, const std::optional<PressesMade>& made)
{
    PlanAnswers answers;
    const auto add = [&](std::size_t at, const Result<stats::Plan>& plan, Reached reached) {
        answers.plans.at(at) = wordsOf(plan, reached, made, answers.assumptions);
    };
    add(0, stats::latePlan({asked.lateShare, asked.confidence, asked.lateSeen}),
        Reached::Confidence);
    add(1, stats::limitsPlan({asked.coverage, asked.confidence, asked.twoSided ? 2 : 1}),
        Reached::Confidence);
    add(2, stats::widthPlan({asked.sdMs, asked.halfWidthMs, asked.confidence, asked.centre}),
        Reached::Confidence);
    add(3, stats::differencePlan({asked.sdMs, asked.differenceMs, asked.power, asked.confidence}),
        Reached::Power);
    return answers;
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/settings_comparison.h"

#include "core/stats/compare/several_settings.h"

#include <algorithm>
#include <functional>
#include <vector>

namespace twinlamp::stats {

namespace {

/// One figure, and how it is compared with given options.
struct Question
{
    FigureVerdict* figure;
    std::function<RunComparison(const RunComparisonOptions&)> compare;
};

std::vector<double> pValuesOf(const std::vector<Question>& questions)
{
    std::vector<double> pValues;
    for (const Question& question : questions) {
        const RunComparison& byRuns = question.figure->byRuns;
        for (const auto& pValue : {byRuns.pValue, byRuns.samePValue}) {
            if (pValue) {
                pValues.push_back(*pValue);
            }
        }
    }
    return pValues;
}

/// The verdict that stands with its adjusted p-values.
void judge(FigureVerdict& figure, std::optional<double> adjustedSame, double error)
{
    RunComparison& byRuns = figure.byRuns;
    const Verdict alone = byRuns.verdict;
    if (adjustedSame && *adjustedSame < error) {
        byRuns.verdict = Verdict::SameWithin;
        return;
    }
    const bool isTold = figure.adjustedPValue && *figure.adjustedPValue < error;
    if (!isTold) {
        byRuns.verdict = Verdict::Undecided;
    } else if (alone == Verdict::SameWithin) {
        byRuns.verdict = byRuns.difference.value > 0.0 ? Verdict::ALess : Verdict::BLess;
    }
    figure.heldBack = alone != Verdict::Undecided && byRuns.verdict == Verdict::Undecided;
}

/// Runs that would tell at the first step of Holm, which is the strictest.
void plan(const Question& question, const RunComparisonOptions& options, int questions)
{
    RunComparison& byRuns = question.figure->byRuns;
    if (byRuns.verdict != Verdict::Undecided || !byRuns.pValue) {
        return;
    }
    RunComparisonOptions strict = options;
    strict.replicates = 0;
    strict.planNeeded = true;
    strict.confidence = 1.0 - (1.0 - options.confidence) / questions;
    const RunComparison planned = question.compare(strict);
    byRuns.needed = planned.needed;
    byRuns.reason = planned.reason;
}

} // namespace

SettingsComparison compareSettings(const TwoSettings& settings, std::optional<double> lateLimitMs,
    const RunComparisonOptions& options)
{
    SettingsComparison comparison;
    std::vector<Question> questions {
        {&comparison.shift, [&](const auto& how) { return compareShift(settings, how); }},
        {&comparison.spread, [&](const auto& how) { return compareSpread(settings, how); }}};
    std::vector<Count> lateA;
    std::vector<Count> lateB;
    if (lateLimitMs) {
        lateA = lateCounts(settings.a, *lateLimitMs);
        lateB = lateCounts(settings.b, *lateLimitMs);
        comparison.late.emplace();
        questions.push_back({&*comparison.late, [&](const auto& how) {
                                 return compareLateShare({lateA, lateB}, how);
                             }});
    }
    RunComparisonOptions once = options;
    once.planNeeded = false;
    for (const Question& question : questions) {
        question.figure->byRuns = question.compare(once);
    }
    const std::vector<double> adjusted = holmAdjusted(pValuesOf(questions));
    comparison.questions = static_cast<int>(adjusted.size());
    auto next = adjusted.begin();
    for (const Question& question : questions) {
        FigureVerdict& figure = *question.figure;
        if (figure.byRuns.pValue) {
            figure.adjustedPValue = *next++;
        }
        std::optional<double> adjustedSame;
        if (figure.byRuns.samePValue) {
            adjustedSame = *next++;
        }
        judge(figure, adjustedSame, 1.0 - options.confidence);
        if (options.planNeeded) {
            plan(question, options, comparison.questions);
        }
    }
    return comparison;
}

} // namespace twinlamp::stats

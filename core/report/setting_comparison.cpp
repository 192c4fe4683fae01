// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/setting_comparison.h"

#include "core/base/contracts.h"
#include "core/report/comparison_sentences.h"

#include <algorithm>
#include <array>
#include <functional>

namespace twinlamp::report {

namespace {

using stats::RunLatencies;

std::vector<double> pooled(const std::vector<RunLatencies>& runs)
{
    std::vector<double> all;
    for (const RunLatencies& run : runs) {
        all.insert(all.end(), run.latenciesMs.begin(), run.latenciesMs.end());
    }
    return all;
}

stats::Count lateOf(const stats::Summary& summary)
{
    return {summary.late.value_or(0), summary.n + summary.noResponse};
}

IndependentFigures independentFigures(const std::vector<RunLatencies>& a,
    const std::vector<RunLatencies>& b, const SettingComparison& comparison,
    const std::stop_token& stop)
{
    const std::vector<double> ofA = pooled(a);
    const std::vector<double> ofB = pooled(b);
    IndependentFigures figures;
    // Shift and superiority are of the first over the second sample; the ratio is second over
    // first.
    figures.shift = stats::hodgesLehmannShift({ofB, ofA});
    figures.shiftTest = stats::mannWhitney({ofB, ofA});
    figures.superiority = stats::superiority({ofB, ofA});
    stats::BootstrapPlan plan;
    plan.stop = stop;
    figures.spread = stats::spreadRatio({ofA, ofB}, plan);
    const std::array<std::vector<double>, 2> both {ofA, ofB};
    figures.spreadTest = stats::equalSpreadTest(both);
    figures.distribution = stats::kolmogorovSmirnov({ofA, ofB});
    const stats::Count lateA = lateOf(comparison.a.summary);
    const stats::Count lateB = lateOf(comparison.b.summary);
    if (comparison.lateLimit && lateA.trials > 0 && lateB.trials > 0) {
        figures.late = stats::newcombeDifference(lateB, lateA);
    }
    return figures;
}

} // namespace

JobResult<SettingComparison> settingComparison(const session::Session& session,
    const SettingPair& settings, const ComparisonOptions& asked, const JobControl& control)
{
    ComparisonOptions options = asked;
    options.lateLimit = asked.lateLimit ? asked.lateLimit : session.lateLimit;
    TL_EXPECTS(!options.lateLimit || options.lateLimit->ns > 0);
    TL_EXPECTS(!options.marginMs || *options.marginMs > 0.0);
    const SettingPresses a = settingPresses(session, settings.a);
    const SettingPresses b = settingPresses(session, settings.b);
    SettingComparison comparison;
    comparison.figure = options.figure;
    comparison.lateLimit = options.lateLimit;
    comparison.marginMs = options.marginMs;
    const auto runsA = stats::latenciesByRun(a.runViews(), Edge::On, options.figure);
    const auto runsB = stats::latenciesByRun(b.runViews(), Edge::On, options.figure);
    const std::array<std::function<void()>, 5> steps {
        [&] { comparison.a = comparedSetting(a, options.figure, options.lateLimit); },
        [&] { comparison.b = comparedSetting(b, options.figure, options.lateLimit); },
        [&] { comparison.fair = fairTest(a, b); },
        [&] {
            stats::RunComparisonOptions how;
            how.marginMs = options.marginMs;
            how.rigVarianceMs2 = comparison.fair.rigVarianceMs2;
            how.stop = control.stop;
            const auto limitMs
                = options.lateLimit ? std::optional(toMs(*options.lateLimit)) : std::nullopt;
            comparison.byRuns = stats::compareSettings({runsA, runsB}, limitMs, how);
            comparison.effect = stats::superiorityByRuns({runsA, runsB}, how);
        },
        [&] {
            comparison.independent = independentFigures(runsA, runsB, comparison, control.stop);
        }};
    const auto total = static_cast<std::int64_t>(steps.size());
    for (std::int64_t done = 0; done < total; ++done) {
        if (!control.tick(done, total)) {
            return Cancelled {};
        }
        steps.at(static_cast<std::size_t>(done))();
    }
    if (control.stopRequested()) {
        return Cancelled {};
    }
    comparison.sentences = comparisonSentences(comparison);
    return comparison;
}

} // namespace twinlamp::report

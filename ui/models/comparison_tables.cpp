// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/comparison_sentences.h"
#include "core/report/figure_text.h"
#include "ui/models/comparison_words.h"
#include "ui/models/figure_cells.h"
#include "ui/widgets/figures.h"

#include <QCoreApplication>

#include <algorithm>

namespace twinlamp::ui {

namespace {

using report::ComparedSetting;
using stats::FigureVerdict;
using stats::Interval;

constexpr double percent = 100.0;

QString tr(const char* text) { return QCoreApplication::translate("Compare", text); }

QString pText(const std::optional<double>& pValue)
{
    return pValue ? QString::fromStdString(report::pValueText(*pValue)) : dash();
}

FigureRow byRunsRow(
    const QString& name, const QString& toolTip, const FigureVerdict& figure, const Scaled& how)
{
    const stats::RunComparison& byRuns = figure.byRuns;
    const int decimals = decimalsOf(byRuns.difference.interval, how.scale);
    return {
        {name,
            report::hasValue(byRuns) ? valueText(byRuns.difference.value, decimals, how) : dash(),
            intervalText(byRuns.difference.interval, how), pText(byRuns.pValue),
            pText(figure.adjustedPValue)},
        toolTip};
}

FigureRow besideRow(const QString& name, const stats::Estimate& estimate,
    const std::optional<double>& pValue, const Scaled& how, const QString& toolTip)
{
    return {{name, valueText(estimate.value, decimalsOf(estimate.interval, how.scale), how),
                intervalText(estimate.interval, how), pText(pValue), {}},
        toolTip};
}

template<typename Test> std::optional<double> pOf(const std::optional<Test>& test)
{
    return test ? std::optional(test->pValue) : std::nullopt;
}

void addIndependent(std::vector<FigureRow>& rows, const report::IndependentFigures& beside)
{
    rows.push_back({{tr("As if presses were independent (decides nothing)")},
        tr("Presses of one run are not independent where clocks lock, so these intervals can be "
           "far too narrow."),
        true});
    const Scaled ms {1.0, QStringLiteral("ms")};
    if (beside.shift) {
        rows.push_back(besideRow(tr("Shift, B less A"), *beside.shift, pOf(beside.shiftTest), ms,
            tr("Hodges-Lehmann shift in ms with its distribution-free interval; p by Mann-Whitney "
               "with ties")));
    }
    if (beside.superiority) {
        rows.push_back({{tr("Chance that B takes longer"),
                            numberText(percent * beside.superiority->chance, 0) + thinSpace + u'%'},
            tr("Of one press of B and one of A, ties counting half: an effect size")});
    }
    if (beside.spread) {
        rows.push_back(besideRow(tr("Spread, B over A"), *beside.spread, pOf(beside.spreadTest), {},
            tr("Ratio of the mean absolute deviations from the median with its bootstrap "
               "interval; p by Brown-Forsythe")));
    }
    if (beside.late) {
        rows.push_back(besideRow(tr("Late share, B less A"),
            {beside.late->estimate, {beside.late->low, beside.late->high}}, std::nullopt,
            {percent, QStringLiteral("%")}, tr("In percentage points, with Newcombe's interval")));
    }
    if (beside.distribution) {
        rows.push_back(
            {{tr("Largest gap of the distributions"),
                 numberText(percent * beside.distribution->distance, 0) + thinSpace + u'%', {},
                 pText(beside.distribution->pValue), {}},
                tr("Kolmogorov-Smirnov distance of the two empirical distributions")});
    }
}

QString countOf(const ComparedSetting& setting)
{
    const stats::Summary& s = setting.summary;
    QString text = QString::number(s.n + s.noResponse);
    if (s.noResponse > 0) {
        text += tr(", %1 lost").arg(s.noResponse);
    }
    return text;
}

template<typename TextOf>
void addPair(std::vector<FigureRow>& rows, const report::SettingComparison& comparison,
    const QString& name, const QString& toolTip, TextOf textOf)
{
    rows.push_back({{name, textOf(comparison.a), textOf(comparison.b)}, toolTip});
}

void addShape(std::vector<FigureRow>& rows, const report::SettingComparison& comparison)
{
    const auto one
        = [](std::optional<double> value) { return value ? numberText(*value, 2) : dash(); };
    addPair(rows, comparison, tr("SD, ms"), tr("Standard deviation of the measured latencies"),
        [&](const ComparedSetting& s) -> QString { return one(s.summary.sdMs); });
    addPair(rows, comparison, tr("Interquartile range, ms"),
        tr("Between the quarter and the three-quarter quantile"),
        [&](const ComparedSetting& s) -> QString { return one(s.summary.iqrMs); });
    addPair(rows, comparison, tr("p5, ms"),
        tr("One press in twenty is faster; needs: presses that its interval takes"),
        [](const ComparedSetting& s) -> QString { return quantileText(s.details.p5); });
    addPair(rows, comparison, tr("p95, ms"),
        tr("One press in twenty is slower; needs: presses that its interval takes"),
        [](const ComparedSetting& s) -> QString { return quantileText(s.details.p95); });
    addPair(rows, comparison, tr("p99, ms"),
        tr("One press in a hundred is slower; needs: presses that its interval takes"),
        [](const ComparedSetting& s) -> QString { return quantileText(s.details.p99); });
    addPair(rows, comparison, tr("Maximum, ms"), tr("None where an answer was lost"),
        [&](const ComparedSetting& s) -> QString { return one(s.summary.maxMs); });
    addPair(rows, comparison, tr("Link spread, ms"),
        tr("What remains of the SD after sampling phase and measurement (95 % interval); 0 at the "
           "lower end: not told apart from zero"),
        [](const ComparedSetting& s) -> QString {
            return withInterval(s.summary.linkSpreadMs,
                {s.summary.linkSpreadLowMs, s.summary.linkSpreadHighMs}, {});
        });
}

} // namespace

FigureLines comparedFigures(const report::SettingComparison& comparison)
{
    FigureLines lines {
        {tr("By runs"), tr("figure"), tr("95 % interval"), tr("p"), tr("p adjusted")}, {}};
    const stats::SettingsComparison& byRuns = comparison.byRuns;
    lines.rows.push_back(byRunsRow(tr("Shift, B less A"),
        tr("Difference of the means of the runs' medians, ms; Student's t over runs"), byRuns.shift,
        {1.0, QStringLiteral("ms")}));
    lines.rows.push_back(byRunsRow(tr("Spread, B over A"),
        tr("Ratio of the runs' mean absolute deviations; Student's t over their logarithms"),
        byRuns.spread, {}));
    if (byRuns.late) {
        lines.rows.push_back(
            byRunsRow(tr("Late share, B less A"), tr("Late and lost presses, in percentage points"),
                *byRuns.late, {percent, QStringLiteral("%")}));
    }
    if (comparison.effect) {
        lines.rows.push_back(besideRow(tr("Cliff's delta, B over A"), comparison.effect->delta,
            std::nullopt, {},
            tr("Effect size, -1 to 1: chance that a press of B takes longer than one of A, less "
               "the chance that it is faster; interval over runs")));
    }
    addIndependent(lines.rows, comparison.independent);
    return lines;
}

FigureLines settingFiguresTable(const report::SettingComparison& comparison)
{
    FigureLines lines {{tr("Each setting"), tr("A"), tr("B")}, {}};
    std::vector<FigureRow>& rows = lines.rows;
    addPair(rows, comparison, tr("Runs"), tr("Runs that have a press which counts"),
        [](const ComparedSetting& s) -> QString { return QString::number(s.runs); });
    addPair(
        rows, comparison, tr("Presses"), tr("On edges that count; lost: never answered"), countOf);
    addPair(rows, comparison, tr("Median, ms"),
        tr("With its distribution-free 95 % interval, presses taken as independent"),
        [](const ComparedSetting& s) -> QString {
            return withInterval(
                s.summary.medianMs, {s.summary.medianLowMs, s.summary.medianHighMs}, {});
        });
    addPair(rows, comparison, tr("Mean, ms"), tr("Of the measured latencies"),
        [](const ComparedSetting& s) -> QString {
            return s.summary.meanMs ? numberText(*s.summary.meanMs, 1) : dash();
        });
    addShape(rows, comparison);
    if (comparison.lateLimit) {
        addPair(rows, comparison, tr("Late, %"),
            tr("Share of presses over the late limit, lost ones included (95 % "
               "interval by Clopper and Pearson)"),
            [](const ComparedSetting& s) -> QString {
                return withInterval(
                    s.summary.lateShare, {s.summary.lateLow, s.summary.lateHigh}, {percent, {}});
            });
        addPair(rows, comparison, tr("Could be missed, %"),
            tr("The largest share of late presses that this many presses can miss altogether (95 "
               "%)"),
            [](const ComparedSetting& s) -> QString {
                return numberText(percent * s.details.largestMissedShare, 1);
            });
    }
    addPair(rows, comparison, tr("Off edges: median, ms"),
        tr("Beside the on edges, never pooled with them"), [](const ComparedSetting& s) -> QString {
            return withInterval(s.off.medianMs, {s.off.medianLowMs, s.off.medianHighMs}, {});
        });
    return lines;
}

FigureLines rankingTable(const report::SettingRanking& ranking)
{
    FigureLines lines {{tr("Fastest first"), tr("presses"), tr("centre, ms"), tr("behind, ms"),
                           tr("p adj."), tr("told")},
        {}};
    const std::vector<std::size_t>& order = ranking.byRuns.order;
    for (std::size_t rank = 0; rank < order.size(); ++rank) {
        const report::RankedSetting& setting = ranking.settings[order[rank]];
        FigureRow row;
        row.cells
            << QStringLiteral("%1  %2").arg(rank + 1).arg(QString::fromStdString(setting.name))
            << tr("%1 in %2").arg(setting.summary.n + setting.summary.noResponse).arg(setting.runs)
            << (setting.centreMs ? numberText(*setting.centreMs, 1) : dash());
        row.toolTip = tr("%1. Presses in runs; centre: mean of the runs' medians, ms; behind the "
                         "fastest, with its 95 % interval; p adjusted by Holm for all pairs of "
                         "settings; told apart or not.")
                          .arg(QString::fromStdString(setting.name));
        const auto pair = std::ranges::find_if(ranking.byRuns.pairs, [&](const auto& one) {
            return one.first == std::min(order.front(), order[rank])
                && one.second == std::max(order.front(), order[rank]);
        });
        if (rank > 0 && pair != ranking.byRuns.pairs.end()) {
            stats::Estimate behind = pair->shift.difference;
            if (pair->second == order.front()) {
                const auto minus = [](const std::optional<double>& end) {
                    return end ? std::optional(-*end) : std::nullopt;
                };
                behind = {-behind.value, {minus(behind.interval.high), minus(behind.interval.low)}};
            }
            row.cells << (report::hasValue(pair->shift)
                    ? withInterval(behind.value, behind.interval, {})
                    : dash())
                      << pText(pair->adjustedPValue)
                      << (pair->toldApart                           ? tr("yes")
                                 : setting.runs < stats::fewestRuns ? tr("few runs")
                                                                    : tr("not yet"));
        }
        lines.rows.push_back(std::move(row));
    }
    return lines;
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/comparison_sentences.h"
#include "core/report/comparison_writer.h"
#include "core/report/figure_text.h"
#include "core/report/text_table.h"

#include <array>

namespace twinlamp::report {

namespace {

using stats::ComparedFigure;
using stats::FigureVerdict;

constexpr double percent = 100.0;

std::string betweenText(const stats::Interval& interval, int decimals, double scale)
{
    if (!interval.low && !interval.high) {
        return "-";
    }
    const auto end = [decimals, scale](const std::optional<double>& value) {
        return value ? fixedText(scale * *value, decimals) : std::string("?");
    };
    return end(interval.low) + " to " + end(interval.high);
}

/// Decimals that an interval's width carries.
int decimalsOf(const stats::Interval& interval, double scale)
{
    return interval.low && interval.high
        ? decimalsFor(scale * (*interval.high - *interval.low) / 2.0)
        : decimalsFor(0.0);
}

std::string medianText(const stats::Summary& s)
{
    if (!s.medianMs) {
        return "-";
    }
    const stats::Interval interval {s.medianLowMs, s.medianHighMs};
    const int decimals = decimalsOf(interval, 1.0);
    return fixedText(*s.medianMs, decimals) + " (" + betweenText(interval, decimals, 1.0) + ")";
}

std::string quantileText(const stats::QuantileFigure& figure)
{
    std::string text = figure.estimate ? fixedText(*figure.estimate, 1) : "-";
    if (figure.needs) {
        return text + " (interval needs " + std::to_string(*figure.needs) + ")";
    }
    return text + " (" + betweenText(figure.interval, 1, 1.0) + ")";
}

std::string lateText(const ComparedSetting& setting)
{
    const stats::Summary& s = setting.summary;
    if (!s.late || !s.lateShare) {
        return {};
    }
    const stats::Interval interval {s.lateLow, s.lateHigh};
    return std::to_string(*s.late) + " = " + fixedText(percent * *s.lateShare, 1) + " % ("
        + betweenText(interval, 1, percent) + ")";
}

std::string settingsTable(const SettingComparison& comparison)
{
    const std::string late = comparison.lateLimit
        ? "later than " + exactMsText(comparison.lateLimit->ns) + " ms"
        : std::string();
    TextTable table({{"ms", Align::Left}, {"setting", Align::Left}, {"runs"}, {"n"}, {"lost"},
        {"median (95 %)"}, {"SD"}, {"p5"}, {"p95"}, {late}});
    const auto add = [&table](const char* letter, const ComparedSetting& setting) {
        const stats::Summary& s = setting.summary;
        table.addRow({letter, setting.name, std::to_string(setting.runs), std::to_string(s.n),
            std::to_string(s.noResponse), medianText(s), s.sdMs ? fixedText(*s.sdMs, 2) : "-",
            quantileText(setting.details.p5), quantileText(setting.details.p95),
            lateText(setting)});
    };
    add("A", comparison.a);
    add("B", comparison.b);
    return table.text();
}

struct FigureRow
{
    std::string name;
    double scale;
    ComparedFigure kind;
};

void addFigure(TextTable& table, const FigureRow& row, const FigureVerdict& figure)
{
    const stats::RunComparison& byRuns = figure.byRuns;
    const stats::Interval& interval = byRuns.difference.interval;
    const int decimals = decimalsOf(interval, row.scale);
    table.addRow({row.name,
        hasValue(byRuns) ? fixedText(row.scale * byRuns.difference.value, decimals) : "-",
        betweenText(interval, decimals, row.scale),
        byRuns.pValue ? pValueText(*byRuns.pValue) : "-",
        figure.adjustedPValue ? pValueText(*figure.adjustedPValue) : "-",
        std::string(stats::verdictWord(byRuns.verdict, row.kind)),
        byRuns.needed ? std::to_string(byRuns.needed->runs) : "",
        byRuns.needed ? std::to_string(byRuns.needed->presses) : ""});
}

void addEstimate(TextTable& table, const std::string& name, const stats::Estimate& estimate,
    std::optional<double> pValue, double scale)
{
    const int decimals = decimalsOf(estimate.interval, scale);
    table.addRow({name, fixedText(scale * estimate.value, decimals),
        betweenText(estimate.interval, decimals, scale), pValue ? pValueText(*pValue) : "-", "", "",
        "", ""});
}

void addIndependent(TextTable& table, const std::string& name,
    const std::optional<stats::Estimate>& estimate, std::optional<double> pValue, double scale)
{
    if (estimate) {
        addEstimate(table, name, *estimate, pValue, scale);
    }
}

template<typename Test> std::optional<double> pValueOf(const std::optional<Test>& test)
{
    return test ? std::optional(test->pValue) : std::nullopt;
}

std::string figuresTable(const SettingComparison& comparison)
{
    TextTable table({{"", Align::Left}, {"figure"}, {"95 % interval"}, {"p"}, {"p adjusted"},
        {"verdict", Align::Left}, {"runs that tell"}, {"presses"}});
    const FigureRow shift {"shift, B less A, ms", 1.0, ComparedFigure::Shift};
    const FigureRow spread {"spread, B over A", 1.0, ComparedFigure::Spread};
    const FigureRow late {"late share, B less A, %", percent, ComparedFigure::LateShare};
    addFigure(table, shift, comparison.byRuns.shift);
    addFigure(table, spread, comparison.byRuns.spread);
    if (comparison.byRuns.late) {
        addFigure(table, late, *comparison.byRuns.late);
    }
    const std::string effect = "Cliff's delta, B over A";
    if (comparison.effect) {
        addEstimate(table, effect, comparison.effect->delta, std::nullopt, 1.0);
    }
    table.addRow({"as if presses were independent:", "", "", "", "", "", "", ""});
    const IndependentFigures& beside = comparison.independent;
    addIndependent(table, "  " + shift.name, beside.shift, pValueOf(beside.shiftTest), shift.scale);
    if (beside.superiority) {
        addEstimate(table, "  " + effect, beside.superiority->delta, std::nullopt, 1.0);
    }
    addIndependent(
        table, "  " + spread.name, beside.spread, pValueOf(beside.spreadTest), spread.scale);
    if (beside.late) {
        const stats::Estimate estimate {
            beside.late->estimate, {beside.late->low, beside.late->high}};
        addIndependent(table, "  " + late.name, estimate, std::nullopt, late.scale);
    }
    return table.text();
}

} // namespace

std::string comparisonText(const SettingComparison& comparison)
{
    const bool isFullFrame = comparison.figure == stats::Figure::FullFrame;
    std::string text = std::string(isFullFrame ? "Full frame" : "First light")
        + " of the on edges\n\n" + settingsTable(comparison) + "\n" + figuresTable(comparison)
        + "\n";
    for (const Sentence& sentence : comparison.sentences) {
        text += "- " + english(sentence) + "\n";
    }
    return text;
}

} // namespace twinlamp::report

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/table_writer.h"

#include "core/base/wire_names.h"
#include "core/report/figure_text.h"
#include "core/report/text_table.h"

#include <algorithm>
#include <filesystem>

namespace twinlamp::report {

namespace {

std::string percentText(double share) { return fixedText(100.0 * share, 1); }

/// A time of a press, with the digits that the latency's uncertainty carries.
template<typename Time> std::string timeText(const std::optional<Time>& time, const Press& press)
{
    if (!time) {
        return "-";
    }
    return figureText(toMs(*time),
        press.uncertainty ? std::optional<double>(toMs(*press.uncertainty)) : std::nullopt)
        .value;
}

std::string uncertaintyText(const Press& press)
{
    return press.latency && press.uncertainty ? figureText(0.0, toMs(*press.uncertainty)).halfWidth
                                              : std::string();
}

std::string doubtsText(const Press& press)
{
    std::string text;
    for (const Flag flag : press.flags) {
        text += (text.empty() ? "" : ", ") + std::string(flagId(flag));
    }
    return text;
}

std::string reasonText(const Press& press)
{
    std::string text;
    for (const Flag flag : reasonsSetAside(press)) {
        text += (text.empty() ? "" : ", ") + std::string(flagId(flag));
    }
    return text.empty() ? "by hand" : text;
}

/// What each doubt of the table means, once, with the number of presses that carry it.
std::string doubtLines(const std::vector<Press>& presses)
{
    std::string text;
    for (const Flag flag : flagsOf(presses)) {
        const auto count = std::ranges::count_if(
            presses, [flag](const Press& press) { return hasFlag(press.flags, flag); });
        text += "  " + std::string(flagId(flag)) + " (" + std::to_string(count)
            + (count == 1 ? " press): " : " presses): ") + std::string(flagSentence(flag)) + "\n";
    }
    return text.empty() ? text : "\nDoubts:\n" + text;
}

std::string pressTable(const std::vector<Press>& presses)
{
    TextTable table(
        {{"press"}, {"edge", Align::Left}, {"onset/ms"}, {"first light/ms"}, {"full frame/ms"},
            {"latency/ms"}, {"+-/ms"}, {"counted", Align::Left}, {"doubts", Align::Left}});
    const bool withFullFrame = std::ranges::any_of(
        presses, [](const Press& press) { return press.fullFrame.has_value(); });
    for (const Press& press : presses) {
        table.addRow({std::to_string(press.index + 1), std::string(wireName(press.edge)),
            timeText(press.reference, press), timeText(press.firstLight, press),
            withFullFrame ? timeText(press.fullFrame, press) : std::string(),
            timeText(press.latency, press), uncertaintyText(press),
            press.accepted ? "yes" : "set aside: " + reasonText(press), doubtsText(press)});
    }
    return table.text();
}

/// Decimals for all figures of one summary.
int decimalsOf(const stats::Summary& summary)
{
    if (summary.medianLowMs && summary.medianHighMs) {
        return decimalsFor((*summary.medianHighMs - *summary.medianLowMs) / 2.0);
    }
    return decimalsFor(0.0);
}

std::string intervalText(std::optional<double> low, std::optional<double> high, int decimals)
{
    if (!low && !high) {
        return "-";
    }
    return (low ? fixedText(*low, decimals) : std::string("?")) + " to "
        + (high ? fixedText(*high, decimals) : std::string("?"));
}

std::string lateText(const stats::Summary& summary)
{
    if (!summary.late || !summary.lateShare) {
        return {};
    }
    return std::to_string(*summary.late) + " = " + percentText(*summary.lateShare) + " % ("
        + percentText(*summary.lateLow) + " to " + percentText(*summary.lateHigh) + ")";
}

/// Spreads are never better known than to a tenth of themselves at the counts of a bench.
int decimalsOfSpread(double spreadMs) { return decimalsFor(spreadMs / 10.0); }

std::string spreadText(const stats::Summary& summary)
{
    if (!summary.linkSpreadMs) {
        return {};
    }
    const int decimals = decimalsOfSpread(summary.linkSpreadHighMs.value_or(*summary.linkSpreadMs));
    return fixedText(*summary.linkSpreadMs, decimals) + " ("
        + intervalText(summary.linkSpreadLowMs, summary.linkSpreadHighMs, decimals) + ")";
}

void addSummaryRow(TextTable& table, const std::string& name, const stats::Summary& summary)
{
    const int decimals = decimalsOf(summary);
    const auto cell = [decimals](std::optional<double> value) {
        return value ? fixedText(*value, decimals) : std::string("-");
    };
    table.addRow({name, std::to_string(summary.n), std::to_string(summary.noResponse),
        cell(summary.medianMs), intervalText(summary.medianLowMs, summary.medianHighMs, decimals),
        cell(summary.meanMs),
        summary.sdMs ? fixedText(*summary.sdMs, decimalsOfSpread(*summary.sdMs)) : std::string("-"),
        spreadText(summary), cell(summary.p5Ms), cell(summary.p95Ms), cell(summary.maxMs),
        lateText(summary)});
}

std::string summaryTable(const MeasurementFigures& figures)
{
    const std::string limit = figures.on.lateLimit
        ? "later than " + exactMsText(figures.on.lateLimit->ns) + " ms"
        : std::string();
    TextTable table({{"ms", Align::Left}, {"n"}, {"lost"}, {"median"}, {"95 % interval"}, {"mean"},
        {"SD"}, {"link spread"}, {"p5"}, {"p95"}, {"max"}, {limit}});
    addSummaryRow(table, "on", figures.on);
    if (figures.off.n + figures.off.noResponse > 0) {
        addSummaryRow(table, "off", figures.off);
    }
    if (figures.fullFrame.n > 0) {
        addSummaryRow(table, "full frame", figures.fullFrame);
    }
    return table.text();
}

/// "p95 41.2 (interval needs 72 presses)"
std::string tailText(const char* name, const stats::QuantileFigure& figure)
{
    std::string text
        = std::string(name) + " " + (figure.estimate ? fixedText(*figure.estimate, 1) : "-");
    return figure.needs
        ? text + " (interval needs " + std::to_string(*figure.needs) + " presses)"
        : text + " (" + intervalText(figure.interval.low, figure.interval.high, 1) + ")";
}

std::string tailLine(const MeasurementFigures& figures)
{
    const stats::SummaryDetails& details = figures.onMore.details;
    return "Tails (on), ms: " + tailText("p5", details.p5) + ", " + tailText("p95", details.p95)
        + ", " + tailText("p99", details.p99) + "\n";
}

std::string panelLine(const PanelTiming& timing)
{
    std::string line;
    const auto say = [&line](const std::string& what, const std::string& figure) {
        line += (line.empty() ? "Panel: " : ", ") + what + " " + figure;
    };
    if (timing.newFrameInterval && timing.newFrameInterval->ns > 0) {
        const double ms = toMs(*timing.newFrameInterval);
        const FigureText figure = figureText(ms, timing.newFrameUncertaintyMs);
        say("a new frame every",
            figure.value + (figure.halfWidth.empty() ? "" : " +- " + figure.halfWidth) + " ms ("
                + fixedText(1e3 / ms, 1) + " Hz)");
    }
    if (timing.scan) {
        say("scan time", figureText(toMs(*timing.scan), std::nullopt).value + " ms");
    }
    if (timing.refreshInterval) {
        say("redrawn every", figureText(toMs(*timing.refreshInterval), std::nullopt).value + " ms");
    }
    if (timing.heldShare) {
        say("held frames", percentText(*timing.heldShare) + " %");
    }
    return line.empty() ? line : line + "\n";
}

} // namespace

std::string clipLine(const ClipFacts& clip)
{
    std::string line = std::filesystem::path(clip.file).filename().string() + ": "
        + std::to_string(clip.frames) + " frames of " + std::to_string(clip.widthPx) + " x "
        + std::to_string(clip.heightPx) + " at " + toText(clip.captureRate) + " frames/s ("
        + std::string(wireName(clip.captureRateSource)) + "), exposure ";
    if (clip.exposureMs) {
        line += figureText(*clip.exposureMs, std::nullopt).value + " ms ("
            + std::string(wireName(clip.exposureSource)) + ")";
    } else {
        line += "unknown";
    }
    return line + "\n";
}

std::string measurementTable(const ClipResult& result, const MeasurementFigures& figures)
{
    std::string text = english(answerSentence(figures.on)) + "\n" + clipLine(result.clip);
    if (!result.presses.empty()) {
        text
            += "\n" + pressTable(result.presses) + "\n" + summaryTable(figures) + tailLine(figures);
    }
    if (result.panelTiming) {
        text += panelLine(*result.panelTiming);
    }
    text += doubtLines(result.presses);
    if (!figures.notes.empty()) {
        text += "\n";
    }
    for (const Sentence& note : figures.notes) {
        text += "- " + english(note) + "\n";
    }
    return text;
}

} // namespace twinlamp::report

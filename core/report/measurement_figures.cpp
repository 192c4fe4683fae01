// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/measurement_figures.h"

#include "core/report/figure_text.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <map>
#include <string_view>

namespace twinlamp::report {

namespace {

/// Notes that are made here. A measurement may bring some of them along: corrections by hand can
/// have made those untrue.
constexpr std::array<std::string_view, 11> ownNotes {"on-off-differ", "set-aside", "answers-lost",
    "link-frame-rate-unknown", "link-spread-told", "link-spread-zero", "outliers-of-edge",
    "none-late-missed", "some-late-missed", "latency-drifts", "neighbours-alike"};

std::vector<Sentence> notesOfMeasurement(const std::vector<Sentence>& notes)
{
    std::vector<Sentence> others;
    std::ranges::copy_if(notes, std::back_inserter(others), [](const Sentence& note) {
        return std::ranges::find(ownNotes, note.id) == ownNotes.end();
    });
    return others;
}

/// How far the median of the earlier edge kind may lie higher and that of the later one lower:
/// nothing where one of these two ends is open.
std::optional<double> doubtBetween(const stats::Summary& earlier, const stats::Summary& later)
{
    if (!earlier.medianHighMs || !later.medianLowMs) {
        return std::nullopt;
    }
    return std::hypot(
        *earlier.medianHighMs - *earlier.medianMs, *later.medianMs - *later.medianLowMs);
}

void noteOnAgainstOff(const MeasurementFigures& figures, std::vector<Sentence>& notes)
{
    if (!figures.on.medianMs || !figures.off.medianMs) {
        return;
    }
    const double difference = *figures.on.medianMs - *figures.off.medianMs;
    const auto doubt = difference < 0.0 ? doubtBetween(figures.on, figures.off)
                                        : doubtBetween(figures.off, figures.on);
    if (doubt && std::abs(difference) > *doubt) {
        notes.push_back({"on-off-differ", {figureText(difference, doubt).value}});
    }
}

void noteLinkSpread(const stats::Summary& summary, std::vector<Sentence>& notes)
{
    if (!summary.linkSpreadMs || !summary.linkSpreadLowMs || !summary.linkSpreadHighMs) {
        return;
    }
    if (summary.sawtoothPeriodMs) {
        notes.push_back({"link-spread-sawtooth", {fixedText(*summary.sawtoothPeriodMs, 3)}});
    }
    const int decimals = decimalsFor((*summary.linkSpreadHighMs - *summary.linkSpreadLowMs) / 2.0);
    const std::string high = fixedText(*summary.linkSpreadHighMs, decimals);
    if (*summary.linkSpreadLowMs <= 0.0) {
        notes.push_back({"link-spread-zero", {high}});
        return;
    }
    notes.push_back({"link-spread-told",
        {fixedText(*summary.linkSpreadMs, decimals), fixedText(*summary.linkSpreadLowMs, decimals),
            high}});
}

SummaryMore moreOf(const ClipResult& result, Edge edge, stats::Figure figure)
{
    const std::array<stats::RunPresses, 1> clip {result.presses};
    return {stats::summaryDetails(clip, edge, figure),
        stats::timeFigures(result.presses, edge, figure)};
}

void noteOutliers(const char* edge, const SummaryMore& more, std::vector<Sentence>& notes)
{
    std::string list;
    for (const stats::NamedOutlier& outlier : more.details.outliers) {
        list += (list.empty() ? "" : ", ") + std::to_string(outlier.press + 1) + " ("
            + fixedText(outlier.latencyMs, 1) + " ms)";
    }
    if (!list.empty()) {
        notes.push_back({"outliers-of-edge", {edge, list}});
    }
}

void noteMissed(
    const stats::Summary& summary, const SummaryMore& more, std::vector<Sentence>& notes)
{
    if (!summary.late || !summary.lateShare) {
        return;
    }
    const std::string presses = std::to_string(summary.n + summary.noResponse);
    constexpr double percent = 100.0;
    notes.push_back({*summary.late == 0 ? "none-late-missed" : "some-late-missed",
        {presses, fixedText(percent * more.details.largestMissedShare, 1)}});
}

void noteOverTime(const stats::TimeFigures& times, std::vector<Sentence>& notes)
{
    constexpr double error = 0.01;
    if (times.trend && times.trend->pValue < error && times.drift && times.drift->interval.low
        && times.drift->interval.high) {
        const stats::Interval& interval = times.drift->interval;
        const int decimals = decimalsFor((*interval.high - *interval.low) / 2.0);
        notes.push_back({"latency-drifts",
            {fixedText(times.drift->slope, decimals), fixedText(*interval.low, decimals),
                fixedText(*interval.high, decimals)}});
    }
    if (times.neighbours && times.neighbours->pValue < error) {
        notes.push_back({"neighbours-alike", {fixedText(times.neighbours->r, 2)}});
    }
}

std::string reasonOf(const Press& press)
{
    const Flags reasons = reasonsSetAside(press);
    return reasons.empty() ? "by hand" : std::string(flagId(reasons.front()));
}

void noteSetAside(const std::vector<Press>& presses, std::vector<Sentence>& notes)
{
    std::map<std::string, int> reasons;
    int count = 0;
    for (const Press& press : presses) {
        if (!press.accepted) {
            ++count;
            ++reasons[reasonOf(press)];
        }
    }
    if (count == 0) {
        return;
    }
    std::string text;
    for (const auto& [reason, times] : reasons) {
        text += (text.empty() ? "" : ", ") + std::to_string(times) + " " + reason;
    }
    notes.push_back({"set-aside", {std::to_string(count), text}});
}

} // namespace

MeasurementFigures measurementFigures(
    const ClipResult& result, const stats::SummaryOptions& options)
{
    MeasurementFigures figures;
    figures.on = stats::summarise(result.presses, Edge::On, options);
    figures.off = stats::summarise(result.presses, Edge::Off, options);
    figures.fullFrame
        = stats::summarise(result.presses, Edge::On, options, stats::Figure::FullFrame);
    figures.onMore = moreOf(result, Edge::On, stats::Figure::FirstLight);
    figures.offMore = moreOf(result, Edge::Off, stats::Figure::FirstLight);
    figures.fullFrameMore = moreOf(result, Edge::On, stats::Figure::FullFrame);
    figures.notes = notesOfMeasurement(result.notes);
    const std::int64_t lost = figures.on.noResponse + figures.off.noResponse;
    if (lost > 0) {
        figures.notes.push_back({"answers-lost", {std::to_string(lost)}});
    }
    noteSetAside(result.presses, figures.notes);
    noteOnAgainstOff(figures, figures.notes);
    noteLinkSpread(figures.on, figures.notes);
    noteMissed(figures.on, figures.onMore, figures.notes);
    noteOutliers("on", figures.onMore, figures.notes);
    noteOutliers("off", figures.offMore, figures.notes);
    noteOverTime(figures.onMore.times, figures.notes);
    if (!options.linkFrameRate && figures.on.n + figures.off.n > 0) {
        figures.notes.push_back({"link-frame-rate-unknown", {}});
    }
    return figures;
}

Sentence answerSentence(const stats::Summary& summary)
{
    const std::string all = std::to_string(summary.n + summary.noResponse);
    if (summary.n == 0 && summary.noResponse == 0) {
        return {"answer-none", {}};
    }
    if (!summary.medianMs) {
        return {"answer-lost", {std::to_string(summary.noResponse), all}};
    }
    if (!summary.medianLowMs) {
        return {"answer-few", {figureText(*summary.medianMs, std::nullopt).value, all}};
    }
    if (!summary.medianHighMs) {
        const int decimals = decimalsFor(*summary.medianMs - *summary.medianLowMs);
        return {"answer-open",
            {fixedText(*summary.medianMs, decimals), all,
                fixedText(*summary.medianLowMs, decimals)}};
    }
    const int decimals = decimalsFor((*summary.medianHighMs - *summary.medianLowMs) / 2.0);
    return {"answer-interval",
        {fixedText(*summary.medianMs, decimals), all, fixedText(*summary.medianLowMs, decimals),
            fixedText(*summary.medianHighMs, decimals)}};
}

} // namespace twinlamp::report

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/measurement_figures.h"

#include "core/report/figure_text.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

namespace twinlamp::report {

namespace {

/// Flags for which the program sets a press aside; others only cast doubt.
constexpr std::array reasonsToSetAside {Flag::AmbiguousPairing, Flag::TooShortForLink,
    Flag::ClipEdge, Flag::LampModulated, Flag::LostFrames, Flag::DamagedFrames};

void addNote(std::vector<Sentence>& notes, Sentence note)
{
    // A note of the same kind from the measurement itself says it already.
    if (std::ranges::find(notes, note.id, &Sentence::id) == notes.end()) {
        notes.push_back(std::move(note));
    }
}

std::optional<double> halfInterval(const stats::Summary& summary)
{
    if (!summary.medianLowMs || !summary.medianHighMs) {
        return std::nullopt;
    }
    return (*summary.medianHighMs - *summary.medianLowMs) / 2.0;
}

void noteOnAgainstOff(const MeasurementFigures& figures, std::vector<Sentence>& notes)
{
    const auto onHalf = halfInterval(figures.on);
    const auto offHalf = halfInterval(figures.off);
    if (!figures.on.medianMs || !figures.off.medianMs || !onHalf || !offHalf) {
        return;
    }
    const double difference = *figures.on.medianMs - *figures.off.medianMs;
    const double doubt = std::hypot(*onHalf, *offHalf);
    if (std::abs(difference) > doubt) {
        addNote(notes, {"on-off-differ", {figureText(difference, doubt).value}});
    }
}

std::string reasonOf(const Press& press)
{
    const auto reason = std::ranges::find_if(
        reasonsToSetAside, [&press](Flag flag) { return hasFlag(press.flags, flag); });
    return reason == reasonsToSetAside.end() ? "by hand" : std::string(flagId(*reason));
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
    addNote(notes, {"set-aside", {std::to_string(count), text}});
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
    figures.notes = result.notes;
    const std::int64_t lost = figures.on.noResponse + figures.off.noResponse;
    if (lost > 0) {
        addNote(figures.notes, {"answers-lost", {std::to_string(lost)}});
    }
    noteSetAside(result.presses, figures.notes);
    noteOnAgainstOff(figures, figures.notes);
    if (!options.linkFrameRate && figures.on.n + figures.off.n > 0) {
        addNote(figures.notes, {"link-frame-rate-unknown", {}});
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

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/press_explanation_json.h"

#include "core/base/version.h"
#include "core/base/wire_names.h"
#include "core/report/figure_text.h"

#include <string_view>

namespace twinlamp::report {

namespace {

Json numberOrNull(const std::optional<double>& value)
{
    return value ? Json(roundedMs(*value)) : Json(nullptr);
}

std::string_view markName(PressMark mark)
{
    switch (mark) {
    case PressMark::Onset:
        return "onset";
    case PressMark::FirstLight:
        return "first-light";
    case PressMark::HalfLight:
        return "half-light";
    case PressMark::Settled:
        return "settled";
    case PressMark::FullFrame:
        return "full-frame";
    }
    return {};
}

Json stripJson(const std::vector<StripFrame>& strip)
{
    Json frames = Json::array();
    for (const StripFrame& frame : strip) {
        frames.push_back({{"frame", frame.frame}, {"since_onset_ms", roundedMs(frame.sinceOnsetMs)},
            {"reference_begins", frame.referenceBegins}, {"goggle_begins", frame.goggleBegins}});
    }
    return frames;
}

Json traceJson(const ExplainedTrace& trace)
{
    Json samples = Json::array();
    for (const ExplainedSample& sample : trace.samples) {
        samples.push_back({{"frame", sample.frame},
            {"since_onset_ms", roundedMs(sample.sinceOnsetMs)}, {"light", roundedMs(sample.light)},
            {"model", numberOrNull(sample.model)}, {"residual", numberOrNull(sample.residual)}});
    }
    return {{"residual_deviation", numberOrNull(trace.residualDeviation)},
        {"samples", std::move(samples)}};
}

Json budgetJson(const std::optional<Budget>& budget)
{
    if (!budget) {
        return nullptr;
    }
    Json parts = Json::array();
    for (const BudgetRow& row : budget->rows) {
        parts.push_back({{"source", wireName(row.source)}, {"words", english(row.name)},
            {"how", english(row.how)}, {"standard_ms", roundedMs(row.standardMs)},
            {"degrees_of_freedom", numberOrNull(row.degreesOfFreedom)},
            {"common_to_all", row.commonToAll}, {"variance_share", roundedMs(row.varianceShare)}});
    }
    return {{"parts", std::move(parts)}, {"combined_ms", roundedMs(budget->combinedMs)},
        {"coverage_factor", roundedMs(budget->coverageFactor)},
        {"uncertainty_ms", roundedMs(budget->halfWidthMs)},
        {"degrees_of_freedom", numberOrNull(budget->degreesOfFreedom)}};
}

Json sentencesJson(const std::vector<Sentence>& sentences)
{
    Json texts = Json::array();
    for (const Sentence& sentence : sentences) {
        texts.push_back(english(sentence));
    }
    return texts;
}

} // namespace

Json explanationJson(const PressExplanation& explanation)
{
    Json marks = Json::object();
    for (const ExplainedMark& mark : explanation.marks) {
        marks[std::string(markName(mark.mark))] = roundedMs(mark.sinceOnsetMs);
    }
    Json flags = Json::array();
    for (const ExplainedFlag& flag : explanation.flags) {
        const FlagWords words = flagWords(flag.flag);
        flags.push_back({{"id", flagId(flag.flag)}, {"sets_aside", flag.setsAside},
            {"seen", words.seen}, {"effect", words.effect}, {"remedy", words.remedy}});
    }
    return {{"tool", "twinlamp"}, {"version", version()}, {"press", explanation.number},
        {"edge", wireName(explanation.edge)}, {"title", english(explanation.title)},
        {"latency_ms", numberOrNull(explanation.latencyMs)}, {"accepted", explanation.accepted},
        {"marks_ms", std::move(marks)}, {"strip", stripJson(explanation.strip)},
        {"reference", traceJson(explanation.reference)}, {"goggle", traceJson(explanation.goggle)},
        {"budget", budgetJson(explanation.budget)}, {"flags", std::move(flags)},
        {"notes", sentencesJson(explanation.notes)}, {"foot", sentencesJson(explanation.foot)}};
}

} // namespace twinlamp::report

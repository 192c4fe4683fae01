// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/version.h"
#include "core/report/comparison_sentences.h"
#include "core/report/comparison_writer.h"
#include "core/report/figure_text.h"
#include "core/report/summary_details_json.h"

namespace twinlamp::report {

namespace {

using stats::ComparedFigure;
using stats::FigureVerdict;

template<typename T> Json valueOrNull(const std::optional<T>& value)
{
    return value ? Json(*value) : Json(nullptr);
}

Json msOrNull(const std::optional<double>& ms) { return ms ? Json(roundedMs(*ms)) : Json(nullptr); }

/// What every figure has, after its value.
void addVerdict(Json& json, const FigureVerdict& figure, ComparedFigure kind)
{
    json["p_value"] = valueOrNull(figure.byRuns.pValue);
    json["p_value_adjusted"] = valueOrNull(figure.adjustedPValue);
    json["verdict"] = stats::verdictWord(figure.byRuns.verdict, kind);
    json["held_back"] = figure.heldBack;
    json["runs_a"] = figure.byRuns.runsA;
    json["runs_b"] = figure.byRuns.runsB;
}

Json shiftJson(const SettingComparison& comparison)
{
    const FigureVerdict& figure = comparison.byRuns.shift;
    const stats::RunComparison& byRuns = figure.byRuns;
    Json json;
    json["estimate_ms"]
        = hasValue(byRuns) ? Json(roundedMs(byRuns.difference.value)) : Json(nullptr);
    json["low_ms"] = msOrNull(byRuns.difference.interval.low);
    json["high_ms"] = msOrNull(byRuns.difference.interval.high);
    addVerdict(json, figure, ComparedFigure::Shift);
    json["bootstrap_low_ms"] = msOrNull(byRuns.bootstrap.low);
    json["bootstrap_high_ms"] = msOrNull(byRuns.bootstrap.high);
    json["margin_ms"] = valueOrNull(comparison.marginMs);
    json["same_p_value"] = valueOrNull(byRuns.samePValue);
    return json;
}

Json spreadJson(const FigureVerdict& figure)
{
    const stats::RunComparison& byRuns = figure.byRuns;
    Json json;
    json["ratio"] = hasValue(byRuns) ? Json(byRuns.difference.value) : Json(nullptr);
    json["low"] = valueOrNull(byRuns.difference.interval.low);
    json["high"] = valueOrNull(byRuns.difference.interval.high);
    addVerdict(json, figure, ComparedFigure::Spread);
    json["bootstrap_low"] = valueOrNull(byRuns.bootstrap.low);
    json["bootstrap_high"] = valueOrNull(byRuns.bootstrap.high);
    return json;
}

Json lateJson(const SettingComparison& comparison)
{
    if (!comparison.byRuns.late) {
        return nullptr;
    }
    const FigureVerdict& figure = *comparison.byRuns.late;
    const stats::RunComparison& byRuns = figure.byRuns;
    Json json;
    json["limit_ms"] = roundedMs(toMs(*comparison.lateLimit));
    json["a"] = valueOrNull(comparison.a.summary.lateShare);
    json["b"] = valueOrNull(comparison.b.summary.lateShare);
    json["difference"] = hasValue(byRuns) ? Json(byRuns.difference.value) : Json(nullptr);
    json["low"] = valueOrNull(byRuns.difference.interval.low);
    json["high"] = valueOrNull(byRuns.difference.interval.high);
    addVerdict(json, figure, ComparedFigure::LateShare);
    json["a_could_have_missed"] = comparison.a.details.largestMissedShare;
    json["b_could_have_missed"] = comparison.b.details.largestMissedShare;
    return json;
}

Json estimateJson(const std::optional<stats::Estimate>& estimate, const char* key, const char* unit)
{
    Json json;
    const auto named = [unit](const char* end) { return std::string(end) + unit; };
    json[named(key)] = estimate ? Json(estimate->value) : Json(nullptr);
    json[named("low")] = estimate ? valueOrNull(estimate->interval.low) : Json(nullptr);
    json[named("high")] = estimate ? valueOrNull(estimate->interval.high) : Json(nullptr);
    return json;
}

template<typename Test> Json pValueJson(const std::optional<Test>& test)
{
    return test ? Json(test->pValue) : Json(nullptr);
}

Json independentJson(const IndependentFigures& figures)
{
    Json json;
    json["shift"] = estimateJson(figures.shift, "estimate", "_ms");
    json["shift"]["p_value"] = pValueJson(figures.shiftTest);
    json["shift"]["chance_b_takes_longer"]
        = figures.superiority ? Json(figures.superiority->chance) : Json(nullptr);
    json["shift"]["delta"]
        = figures.superiority ? Json(figures.superiority->delta.value) : Json(nullptr);
    const stats::Interval ends
        = figures.superiority ? figures.superiority->delta.interval : stats::Interval {};
    json["shift"]["delta_low"] = valueOrNull(ends.low);
    json["shift"]["delta_high"] = valueOrNull(ends.high);
    json["spread"] = estimateJson(figures.spread, "ratio", "");
    json["spread"]["p_value"] = pValueJson(figures.spreadTest);
    if (figures.late) {
        json["late"] = {{"difference", figures.late->estimate}, {"low", figures.late->low},
            {"high", figures.late->high}};
    } else {
        json["late"] = nullptr;
    }
    json["distribution"]["distance"]
        = figures.distribution ? Json(figures.distribution->distance) : Json(nullptr);
    json["distribution"]["p_value"] = pValueJson(figures.distribution);
    return json;
}

Json effectJson(const std::optional<stats::RunSuperiority>& effect)
{
    if (!effect) {
        return nullptr;
    }
    return {{"delta", effect->delta.value}, {"low", valueOrNull(effect->delta.interval.low)},
        {"high", valueOrNull(effect->delta.interval.high)},
        {"bootstrap_low", valueOrNull(effect->bootstrap.low)},
        {"bootstrap_high", valueOrNull(effect->bootstrap.high)},
        {"chance_b_takes_longer", effect->chance}};
}

/// Runs or presses that would tell, by figure; null where told, or where the data cannot say.
Json neededJson(const SettingComparison& comparison, std::int64_t stats::NeededRuns::*count)
{
    const auto one = [count](const FigureVerdict& figure) {
        const auto& needed = figure.byRuns.needed;
        return needed ? Json((*needed).*count) : Json(nullptr);
    };
    return {{"shift", one(comparison.byRuns.shift)}, {"spread", one(comparison.byRuns.spread)},
        {"late", comparison.byRuns.late ? one(*comparison.byRuns.late) : Json(nullptr)}};
}

Json textsJson(const std::vector<Sentence>& sentences)
{
    Json texts = Json::array();
    for (const Sentence& sentence : sentences) {
        texts.push_back(english(sentence));
    }
    return texts;
}

} // namespace

Json comparedSettingJson(const ComparedSetting& setting)
{
    Json summary = summaryJson(setting.summary);
    addDetails(summary, setting.details);
    summary["outliers"] = Json::array();
    for (const stats::NamedOutlier& outlier : setting.details.outliers) {
        const ClipTimes& clip = setting.clips[outlier.clip];
        Json named = outlierJson(outlier);
        named["clip"] = clip.file;
        named["run"] = clip.run;
        summary["outliers"].push_back(std::move(named));
    }
    Json clips = Json::array();
    for (const ClipTimes& clip : setting.clips) {
        Json times {{"file", clip.file}, {"run", clip.run}};
        addTimes(times, clip.times);
        clips.push_back(std::move(times));
    }
    return {{"setting", setting.name}, {"runs", setting.runs}, {"summary", std::move(summary)},
        {"summary_off", summaryJson(setting.off)}, {"run_names", setting.runNames},
        {"drift_over_runs", runDriftJson(setting.drift)}, {"clips", std::move(clips)}};
}

Json comparisonJson(const SettingComparison& comparison)
{
    const bool isFullFrame = comparison.figure == stats::Figure::FullFrame;
    Json json;
    json["tool"] = "twinlamp";
    json["version"] = version();
    json["of"] = isFullFrame ? "full-frame" : "first-light";
    json["a"] = comparedSettingJson(comparison.a);
    json["b"] = comparedSettingJson(comparison.b);
    json["shift"] = shiftJson(comparison);
    json["spread"] = spreadJson(comparison.byRuns.spread);
    json["late"] = lateJson(comparison);
    json["effect"] = effectJson(comparison.effect);
    json["sentences"] = textsJson(comparison.sentences);
    json["presses_needed"] = neededJson(comparison, &stats::NeededRuns::presses);
    json["runs_needed"] = neededJson(comparison, &stats::NeededRuns::runs);
    json["questions"] = comparison.byRuns.questions;
    json["as_if_presses_were_independent"] = independentJson(comparison.independent);
    json["fair_test"] = {{"rigs_differ", comparison.fair.rigsDiffer},
        {"rig_doubt_ms2", comparison.fair.rigVarianceMs2},
        {"sentences", textsJson(comparison.fair.sentences)}};
    return json;
}

} // namespace twinlamp::report

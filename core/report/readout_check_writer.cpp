// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/version.h"
#include "core/report/figure_text.h"
#include "core/report/readout_check.h"
#include "core/report/text_table.h"

namespace twinlamp::report {

namespace {

Json msOrNull(const std::optional<double>& ms) { return ms ? Json(roundedMs(*ms)) : Json(nullptr); }

Json estimateJson(const std::optional<stats::Estimate>& estimate)
{
    if (!estimate) {
        return nullptr;
    }
    return {{"estimate_ms", roundedMs(estimate->value)},
        {"low_ms", msOrNull(estimate->interval.low)},
        {"high_ms", msOrNull(estimate->interval.high)}};
}

/// Of an Agreement or a RepeatedAgreement.
template<typename Found> Json proportionalJson(const std::optional<Found>& agreement)
{
    if (!agreement || !agreement->proportionalBias) {
        return nullptr;
    }
    const stats::Estimate& slope = *agreement->proportionalBias;
    Json json {{"slope", slope.value}, {"low", nullptr}, {"high", nullptr}, {"p_value", nullptr}};
    if (slope.interval.low && slope.interval.high) {
        json["low"] = *slope.interval.low;
        json["high"] = *slope.interval.high;
    }
    if (agreement->proportionalPValue) {
        json["p_value"] = *agreement->proportionalPValue;
    }
    return json;
}

Json pairJson(const NamedPair& pair)
{
    Json json {{"setting", pair.setting}};
    if (pair.press > 0) {
        json["run"] = pair.run;
        json["clip"] = pair.clip;
        json["press"] = pair.press;
    }
    json["readout_ms"] = roundedMs(pair.pair.readout);
    json["measured_ms"] = roundedMs(pair.pair.measured);
    return json;
}

void addFigure(TextTable& table, const std::string& name, const stats::Estimate& estimate)
{
    const double low = estimate.interval.low.value_or(estimate.value);
    const double high = estimate.interval.high.value_or(estimate.value);
    const int decimals = decimalsFor((high - low) / 2.0);
    table.addRow({name, fixedText(estimate.value, decimals),
        fixedText(low, decimals) + " to " + fixedText(high, decimals)});
}

} // namespace

Json readoutCheckJson(const ReadoutCheck& check)
{
    const auto& agreement = check.agreement;
    Json json {{"tool", "twinlamp"}, {"version", std::string(version())},
        {"pairs_of", check.of == PairsOf::Presses ? "presses" : "settings"},
        {"n", check.pairs.size()}, {"runs", check.runs}, {"left_out", check.withoutPartner},
        {"bias", check.byRuns ? estimateJson(check.byRuns->bias) : Json(nullptr)},
        {"verdict", std::string(verdictId(check.verdict))}};
    json["by_runs"] = nullptr;
    if (check.byRuns) {
        const stats::RepeatedAgreement& byRuns = *check.byRuns;
        json["by_runs"] = {{"within_sd_ms", roundedMs(byRuns.withinSd)},
            {"between_sd_ms", roundedMs(byRuns.betweenSd)}, {"sd_ms", roundedMs(byRuns.totalSd)},
            {"lower_limit", estimateJson(byRuns.lowerLimit)},
            {"upper_limit", estimateJson(byRuns.upperLimit)},
            {"proportional_bias", proportionalJson(check.byRuns)}};
    }
    Json independent = nullptr;
    if (agreement) {
        independent = {{"bias", estimateJson(agreement->bias)}, {"sd_ms", roundedMs(agreement->sd)},
            {"lower_limit", estimateJson(agreement->lowerLimit)},
            {"upper_limit", estimateJson(agreement->upperLimit)},
            {"proportional_bias", proportionalJson(agreement)}};
    }
    json["as_if_pairs_were_independent"] = std::move(independent);
    json["pairs"] = Json::array();
    for (const NamedPair& pair : check.pairs) {
        json["pairs"].push_back(pairJson(pair));
    }
    json["sentences"] = Json::array();
    for (const Sentence& sentence : check.sentences) {
        json["sentences"].push_back(english(sentence));
    }
    return json;
}

std::string readoutCheckText(const ReadoutCheck& check)
{
    std::string text;
    if (check.agreement) {
        const stats::Agreement& agreement = *check.agreement;
        TextTable table(
            {{"readout less measured, ms", Align::Left}, {"figure"}, {"95 % interval"}});
        const bool isPresses = check.of == PairsOf::Presses;
        if (check.byRuns) {
            addFigure(table, isPresses ? "bias over runs" : "bias over link settings",
                check.byRuns->bias);
        }
        if (check.byRuns && isPresses) {
            addFigure(table, "lower limit of agreement, by runs", check.byRuns->lowerLimit);
            addFigure(table, "upper limit of agreement, by runs", check.byRuns->upperLimit);
        }
        if (check.byRuns && isPresses && check.byRuns->proportionalBias) {
            addFigure(
                table, "bias per ms of latency, within runs", *check.byRuns->proportionalBias);
        }
        table.addRow({"as if pairs were independent:", "", ""});
        addFigure(table, "  bias", agreement.bias);
        addFigure(table, "  lower limit of agreement", agreement.lowerLimit);
        addFigure(table, "  upper limit of agreement", agreement.upperLimit);
        if (agreement.proportionalBias) {
            addFigure(table, "  bias per ms of latency", *agreement.proportionalBias);
        }
        text = table.text() + "\n";
    }
    for (const Sentence& sentence : check.sentences) {
        text += "- " + english(sentence) + "\n";
    }
    return text;
}

} // namespace twinlamp::report

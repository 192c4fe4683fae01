// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/ranking_writer.h"

#include "core/base/version.h"
#include "core/report/comparison_sentences.h"
#include "core/report/figure_text.h"
#include "core/report/text_table.h"

namespace twinlamp::report {

namespace {

template<typename T> Json valueOrNull(const std::optional<T>& value)
{
    return value ? Json(*value) : Json(nullptr);
}

Json msOrNull(const std::optional<double>& ms) { return ms ? Json(roundedMs(*ms)) : Json(nullptr); }

Json pairJson(const SettingRanking& ranking, const stats::RankedPair& pair)
{
    const stats::RunComparison& shift = pair.shift;
    Json json;
    json["a"] = ranking.settings[pair.first].name;
    json["b"] = ranking.settings[pair.second].name;
    json["estimate_ms"] = hasValue(shift) ? Json(roundedMs(shift.difference.value)) : Json(nullptr);
    json["low_ms"] = msOrNull(shift.difference.interval.low);
    json["high_ms"] = msOrNull(shift.difference.interval.high);
    json["p_value"] = valueOrNull(shift.pValue);
    json["p_value_adjusted"] = valueOrNull(pair.adjustedPValue);
    json["verdict"] = stats::verdictWord(verdictOf(pair), stats::ComparedFigure::Shift);
    json["runs_needed"] = shift.needed ? Json(shift.needed->runs) : Json(nullptr);
    json["presses_needed"] = shift.needed ? Json(shift.needed->presses) : Json(nullptr);
    return json;
}

Json settingsJson(const SettingRanking& ranking)
{
    Json settings = Json::array();
    for (const std::size_t place : ranking.byRuns.order) {
        const RankedSetting& setting = ranking.settings[place];
        settings.push_back({{"setting", setting.name}, {"runs", setting.runs},
            {"centre_ms", msOrNull(setting.centreMs)}, {"summary", summaryJson(setting.summary)}});
    }
    return settings;
}

std::string settingsTable(const SettingRanking& ranking)
{
    TextTable table({{"", Align::Right}, {"setting", Align::Left}, {"runs"}, {"n"}, {"lost"},
        {"mean of run medians, ms"}, {"median, ms"}, {"SD, ms"}});
    const auto ms = [](const std::optional<double>& value) {
        return value ? fixedText(*value, 2) : std::string("-");
    };
    std::size_t rank = 0;
    for (const std::size_t place : ranking.byRuns.order) {
        const RankedSetting& setting = ranking.settings[place];
        table.addRow({std::to_string(++rank), setting.name, std::to_string(setting.runs),
            std::to_string(setting.summary.n), std::to_string(setting.summary.noResponse),
            ms(setting.centreMs), ms(setting.summary.medianMs), ms(setting.summary.sdMs)});
    }
    return table.text();
}

std::string pairsTable(const SettingRanking& ranking)
{
    TextTable table({{"A", Align::Left}, {"B", Align::Left}, {"B less A, ms"}, {"95 % interval"},
        {"p"}, {"p adjusted"}, {"verdict", Align::Left}, {"runs that tell"}, {"presses"}});
    const auto pText = [](const std::optional<double>& value) {
        return value ? pValueText(*value) : std::string("-");
    };
    for (const stats::RankedPair& pair : ranking.byRuns.pairs) {
        const stats::Estimate& shift = pair.shift.difference;
        const bool isBounded = shift.interval.low && shift.interval.high;
        const int decimals
            = isBounded ? decimalsFor((*shift.interval.high - *shift.interval.low) / 2.0) : 2;
        const auto& needed = pair.shift.needed;
        table.addRow({ranking.settings[pair.first].name, ranking.settings[pair.second].name,
            hasValue(pair.shift) ? fixedText(shift.value, decimals) : "-",
            isBounded ? fixedText(*shift.interval.low, decimals) + " to "
                    + fixedText(*shift.interval.high, decimals)
                      : "-",
            pText(pair.shift.pValue), pText(pair.adjustedPValue),
            std::string(stats::verdictWord(verdictOf(pair), stats::ComparedFigure::Shift)),
            needed ? std::to_string(needed->runs) : "",
            needed ? std::to_string(needed->presses) : ""});
    }
    return table.text();
}

} // namespace

Json rankingJson(const SettingRanking& ranking)
{
    Json json;
    json["tool"] = "twinlamp";
    json["version"] = version();
    json["of"] = ranking.figure == stats::Figure::FullFrame ? "full-frame" : "first-light";
    json["settings"] = settingsJson(ranking);
    json["pairs"] = Json::array();
    for (const stats::RankedPair& pair : ranking.byRuns.pairs) {
        json["pairs"].push_back(pairJson(ranking, pair));
    }
    json["tied_with_fastest"] = Json::array();
    for (std::size_t i = 1; i < ranking.byRuns.tiedWithFastest; ++i) {
        json["tied_with_fastest"].push_back(ranking.settings[ranking.byRuns.order[i]].name);
    }
    const auto& beside = ranking.independent;
    json["as_if_presses_were_independent"]["kruskal_wallis_h"]
        = beside ? Json(beside->h) : Json(nullptr);
    json["as_if_presses_were_independent"]["degrees"]
        = beside ? Json(beside->degrees) : Json(nullptr);
    json["as_if_presses_were_independent"]["p_value"]
        = beside ? Json(beside->pValue) : Json(nullptr);
    json["sentences"] = Json::array();
    for (const Sentence& sentence : ranking.sentences) {
        json["sentences"].push_back(english(sentence));
    }
    return json;
}

std::string rankingText(const SettingRanking& ranking)
{
    const bool isFullFrame = ranking.figure == stats::Figure::FullFrame;
    std::string text = std::string(isFullFrame ? "Full frame" : "First light")
        + " of the on edges\n\n" + settingsTable(ranking) + "\n" + pairsTable(ranking) + "\n";
    for (const Sentence& sentence : ranking.sentences) {
        text += "- " + english(sentence) + "\n";
    }
    return text;
}

} // namespace twinlamp::report

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/readout_check.h"

#include "core/report/figure_text.h"
#include "core/report/setting_presses.h"
#include "core/session/effective.h"
#include "core/session/entry_fields.h"
#include "core/stats/quantile.h"
#include "core/stats/summary.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

namespace twinlamp::report {

namespace {

constexpr std::size_t fewestRuns = 3;
/// Below this the limits themselves are hardly known; common practice, no source.
constexpr std::size_t fewPairs = 30;
constexpr double significance = 0.05;

void addPressPairs(
    ReadoutCheck& check, const session::Session& session, const session::LinkSetting& setting)
{
    for (const session::Clip* clip : session::clipsOf(session, setting.id)) {
        const std::vector<Press> presses = session::countedPresses(*clip);
        for (const session::PressReadout& readout : clip->readouts) {
            const auto press = std::ranges::find(presses, readout.press, &Press::index);
            const bool counts = press != presses.end() && press->edge == Edge::On && press->accepted
                && press->latency;
            if (!counts) {
                ++check.withoutPartner;
                continue;
            }
            check.pairs.push_back(
                {setting.name, session::find(session, clip->run)->name, session::fileNameOf(*clip),
                    readout.press + 1, {readout.latencyMs, toMs(*press->latency)}});
        }
    }
}

void addSettingPair(
    ReadoutCheck& check, const session::Session& session, const session::LinkSetting& setting)
{
    if (setting.readouts.empty()) {
        return;
    }
    std::vector<double> typed;
    for (const session::SettingReadout& readout : setting.readouts) {
        typed.push_back(readout.latencyMs);
    }
    std::ranges::sort(typed);
    const SettingPresses presses = settingPresses(session, setting.id);
    const stats::Summary summary = stats::summariseRuns(presses.runViews(), Edge::On, {});
    if (!summary.medianMs) {
        ++check.withoutPartner;
        return;
    }
    constexpr double half = 0.5;
    check.pairs.push_back({setting.name, "", "", 0,
        {*stats::quantileType7(std::span<const double>(typed), half), *summary.medianMs}});
}

/// The pairs of each run; each pair by itself where they are settings.
std::vector<std::vector<stats::ReadoutPair>> blocksOf(const ReadoutCheck& check)
{
    std::map<std::pair<std::string, std::string>, std::vector<stats::ReadoutPair>> runs;
    for (const NamedPair& pair : check.pairs) {
        runs[{pair.setting, pair.run}].push_back(pair.pair);
    }
    std::vector<std::vector<stats::ReadoutPair>> blocks;
    for (auto& [name, pairs] : runs) {
        blocks.push_back(std::move(pairs));
    }
    return blocks;
}

std::vector<std::string> texts(const stats::Estimate& estimate)
{
    const double low = estimate.interval.low.value_or(estimate.value);
    const double high = estimate.interval.high.value_or(estimate.value);
    const int decimals = decimalsFor((high - low) / 2.0);
    return {
        fixedText(estimate.value, decimals), fixedText(low, decimals), fixedText(high, decimals)};
}

std::string countText(std::size_t count) { return std::to_string(count); }

const char* unitOf(PairsOf of) { return of == PairsOf::Presses ? "presses" : "link settings"; }

Sentence biasSentence(const ReadoutCheck& check)
{
    std::vector<std::string> values
        = texts(check.byRuns ? check.byRuns->bias : check.agreement->bias);
    values.push_back(countText(check.pairs.size()));
    values.emplace_back(unitOf(check.of));
    if (check.verdict == ReadoutVerdict::Undecided) {
        return {"readout-bias-undecided", std::move(values)};
    }
    if (check.verdict == ReadoutVerdict::ReadsLess && values[0].starts_with('-')) {
        values[0].erase(0, 1);
    }
    return {
        check.verdict == ReadoutVerdict::ReadsLess ? "readout-reads-less" : "readout-reads-more",
        std::move(values)};
}

/// Limits of presses go by runs where there are two or more.
bool areLimitsByRuns(const ReadoutCheck& check)
{
    return check.of == PairsOf::Presses && check.byRuns.has_value();
}

Sentence limitsSentence(const ReadoutCheck& check)
{
    const bool byRuns = areLimitsByRuns(check);
    std::vector<std::string> values
        = texts(byRuns ? check.byRuns->lowerLimit : check.agreement->lowerLimit);
    const std::vector<std::string> upper
        = texts(byRuns ? check.byRuns->upperLimit : check.agreement->upperLimit);
    values.insert(values.end(), upper.begin(), upper.end());
    if (!byRuns) {
        return {"readout-limits", std::move(values)};
    }
    for (const double sd : {check.byRuns->withinSd, check.byRuns->betweenSd}) {
        values.push_back(fixedText(sd, decimalsFor(sd)));
    }
    return {"readout-limits-by-runs", std::move(values)};
}

void addProportionalBias(std::vector<Sentence>& sentences, const ReadoutCheck& check)
{
    const bool byRuns = areLimitsByRuns(check) && check.byRuns->proportionalBias;
    const auto& slope = byRuns ? check.byRuns->proportionalBias : check.agreement->proportionalBias;
    const auto& pValue
        = byRuns ? check.byRuns->proportionalPValue : check.agreement->proportionalPValue;
    if (!slope || !pValue) {
        sentences.push_back({"readout-proportional-unknown", {}});
        return;
    }
    sentences.push_back(
        {*pValue < significance ? "readout-proportional" : "readout-not-proportional",
            texts(*slope)});
    if (check.of == PairsOf::Presses) {
        sentences.push_back(
            {byRuns ? "readout-proportional-by-runs" : "readout-proportional-independent", {}});
    }
}

void addSentences(ReadoutCheck& check)
{
    std::vector<Sentence>& sentences = check.sentences;
    if (!check.agreement) {
        sentences.push_back({"readout-too-few", {countText(check.pairs.size())}});
    } else {
        sentences.push_back(biasSentence(check));
        if (check.runs < fewestRuns) {
            sentences.push_back(
                {check.of == PairsOf::Presses ? "readout-few-runs" : "readout-few-settings",
                    {countText(check.runs)}});
        }
        sentences.push_back(limitsSentence(check));
        if (check.pairs.size() < fewPairs) {
            const stats::Interval& end = areLimitsByRuns(check)
                ? check.byRuns->upperLimit.interval
                : check.agreement->upperLimit.interval;
            const double reach = (*end.high - *end.low) / 2.0;
            sentences.push_back({"readout-few-pairs",
                {countText(check.pairs.size()), fixedText(reach, decimalsFor(reach))}});
        }
        addProportionalBias(sentences, check);
        sentences.push_back({"readout-own-definition", {}});
    }
    if (check.withoutPartner > 0) {
        sentences.push_back({check.of == PairsOf::Presses ? "readout-presses-left-out"
                                                          : "readout-settings-left-out",
            {std::to_string(check.withoutPartner)}});
    }
}

ReadoutVerdict verdictOf(const ReadoutCheck& check)
{
    if (!check.byRuns || check.runs < fewestRuns) {
        return ReadoutVerdict::Undecided;
    }
    if (*check.byRuns->bias.interval.high < 0.0) {
        return ReadoutVerdict::ReadsLess;
    }
    return *check.byRuns->bias.interval.low > 0.0 ? ReadoutVerdict::ReadsMore
                                                  : ReadoutVerdict::Undecided;
}

} // namespace

std::string_view verdictId(ReadoutVerdict verdict)
{
    switch (verdict) {
    case ReadoutVerdict::ReadsLess:
        return "reads-less";
    case ReadoutVerdict::ReadsMore:
        return "reads-more";
    case ReadoutVerdict::Undecided:
        break;
    }
    return "undecided";
}

ReadoutCheck readoutCheck(const session::Session& session, const ReadoutCheckOptions& options)
{
    ReadoutCheck check;
    check.of = options.of;
    for (const session::LinkSetting& setting : session.settings) {
        if (options.setting && setting.id != options.setting) {
            continue;
        }
        if (options.of == PairsOf::Presses) {
            addPressPairs(check, session, setting);
        } else {
            addSettingPair(check, session, setting);
        }
    }
    std::vector<stats::ReadoutPair> pairs;
    for (const NamedPair& pair : check.pairs) {
        pairs.push_back(pair.pair);
    }
    check.agreement = stats::agreement(pairs);
    const auto blocks = blocksOf(check);
    check.runs = blocks.size();
    check.byRuns = stats::agreementByRuns(blocks);
    check.verdict = verdictOf(check);
    addSentences(check);
    return check;
}

} // namespace twinlamp::report

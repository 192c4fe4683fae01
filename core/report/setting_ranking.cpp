// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/setting_ranking.h"

#include "core/base/contracts.h"
#include "core/report/comparison_sentences.h"
#include "core/report/figure_text.h"

#include <algorithm>

namespace twinlamp::report {

namespace {

using stats::RunLatencies;

constexpr std::size_t mostPlanned = 10; ///< settings; more pairs would be slow

double largestRigDoubt(const std::vector<SettingPresses>& settings)
{
    double largest = 0.0;
    for (std::size_t i = 0; i < settings.size(); ++i) {
        for (std::size_t k = i + 1; k < settings.size(); ++k) {
            largest = std::max(largest, fairTest(settings[i], settings[k]).rigVarianceMs2);
        }
    }
    return largest;
}

std::vector<double> pooled(const std::vector<RunLatencies>& runs)
{
    std::vector<double> all;
    for (const RunLatencies& run : runs) {
        all.insert(all.end(), run.latenciesMs.begin(), run.latenciesMs.end());
    }
    return all;
}

std::string joined(const std::vector<std::string>& names)
{
    std::string text;
    for (const std::string& name : names) {
        text += (text.empty() ? "" : "; ") + name;
    }
    return text;
}

void sayTies(const SettingRanking& ranking, std::vector<Sentence>& sentences)
{
    const std::vector<std::size_t>& order = ranking.byRuns.order;
    std::vector<std::string> tied;
    for (std::size_t i = 1; i < ranking.byRuns.tiedWithFastest; ++i) {
        tied.push_back(ranking.settings[order[i]].name);
    }
    if (!tied.empty()) {
        sentences.push_back({"ranking-tied", {ranking.settings[order.front()].name, joined(tied)}});
    }
}

std::vector<Sentence> sentencesOf(const SettingRanking& ranking)
{
    std::vector<std::string> names;
    for (const std::size_t place : ranking.byRuns.order) {
        names.push_back(ranking.settings[place].name);
    }
    const auto told = std::ranges::count_if(ranking.byRuns.pairs, &stats::RankedPair::toldApart);
    const std::string pairs = std::to_string(ranking.byRuns.pairs.size());
    std::vector<Sentence> sentences {
        {"ranking-order", {joined(names)}}, {"ranking-told", {std::to_string(told), pairs}}};
    sayTies(ranking, sentences);
    for (const RankedSetting& setting : ranking.settings) {
        if (setting.runs < stats::fewestRuns) {
            sentences.push_back(
                {"ranking-few-runs", {setting.name, std::to_string(stats::fewestRuns)}});
        }
    }
    sentences.push_back({"ranking-together", {pairs}});
    sentences.push_back({"ranking-one-question", {}});
    if (ranking.independent) {
        sentences.push_back({"ranking-independent",
            {fixedText(ranking.independent->h, 1), fixedText(ranking.independent->degrees, 0),
                pValueText(ranking.independent->pValue)}});
    }
    return sentences;
}

} // namespace

SettingRanking settingRanking(const session::Session& session,
    std::span<const session::SettingId> settings, const ComparisonOptions& options)
{
    TL_EXPECTS(settings.size() >= 2);
    TL_EXPECTS(!options.marginMs || *options.marginMs > 0.0);
    SettingRanking ranking;
    ranking.figure = options.figure;
    const auto limit = options.lateLimit ? options.lateLimit : session.lateLimit;
    std::vector<SettingPresses> presses;
    std::vector<std::vector<RunLatencies>> latencies;
    std::vector<std::vector<double>> groups;
    for (const session::SettingId id : settings) {
        const SettingPresses& setting = presses.emplace_back(settingPresses(session, id));
        const auto runs = setting.runViews();
        RankedSetting& ranked = ranking.settings.emplace_back();
        ranked.name = setting.name;
        ranked.summary = stats::summariseRuns(
            runs, Edge::On, {limit, setting.linkFrameRate()}, options.figure);
        latencies.push_back(stats::latenciesByRun(runs, Edge::On, options.figure));
        ranked.runs = std::ranges::count_if(
            latencies.back(), [](const RunLatencies& run) { return run.presses() > 0; });
        groups.push_back(pooled(latencies.back()));
    }
    stats::RunComparisonOptions how;
    how.marginMs = options.marginMs;
    how.replicates = 0;
    how.planNeeded = settings.size() <= mostPlanned;
    how.rigVarianceMs2 = largestRigDoubt(presses);
    ranking.byRuns = stats::rankByRuns(latencies, how);
    for (std::size_t i = 0; i < ranking.settings.size(); ++i) {
        ranking.settings[i].centreMs = ranking.byRuns.centresMs[i];
    }
    ranking.independent = stats::kruskalWallis(groups);
    ranking.sentences = sentencesOf(ranking);
    return ranking;
}

stats::Verdict verdictOf(const stats::RankedPair& pair)
{
    const bool stands = pair.toldApart || pair.shift.verdict == stats::Verdict::SameWithin;
    return stands ? pair.shift.verdict : stats::Verdict::Undecided;
}

} // namespace twinlamp::report

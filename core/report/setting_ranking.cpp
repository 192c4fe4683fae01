// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/setting_ranking.h"

#include "core/base/contracts.h"
#include "core/report/comparison_sentences.h"
#include "core/report/figure_text.h"

#include <algorithm>
#include <utility>

namespace twinlamp::report {

namespace {

using stats::RunLatencies;

constexpr std::size_t mostPlanned = 10; ///< settings; more pairs would be slow

std::vector<double> pooled(const std::vector<RunLatencies>& runs)
{
    std::vector<double> all;
    for (const RunLatencies& run : runs) {
        all.insert(all.end(), run.latenciesMs.begin(), run.latenciesMs.end());
    }
    return all;
}

RankedSetting ranked(
    const SettingPresses& setting, std::optional<Latency> limit, stats::Figure figure)
{
    const auto runs = setting.runViews();
    RankedSetting ranked;
    ranked.name = setting.name;
    ranked.summary = stats::summariseRuns(runs, Edge::On, {limit, setting.linkFrameRate()}, figure);
    const auto byRun = stats::latenciesByRun(runs, Edge::On, figure);
    ranked.runs
        = std::ranges::count_if(byRun, [](const RunLatencies& run) { return run.presses() > 0; });
    return ranked;
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

JobResult<SettingRanking> settingRanking(const session::Session& session,
    std::span<const session::SettingId> settings, const ComparisonOptions& options,
    const JobControl& control)
{
    TL_EXPECTS(settings.size() >= 2);
    TL_EXPECTS(!options.marginMs || *options.marginMs > 0.0);
    SettingRanking ranking;
    ranking.figure = options.figure;
    const auto limit = options.lateLimit ? options.lateLimit : session.lateLimit;
    std::vector<SettingPresses> presses;
    std::vector<std::vector<RunLatencies>> latencies;
    std::vector<std::vector<double>> groups;
    const auto pairs = static_cast<std::int64_t>(settings.size() * (settings.size() - 1) / 2);
    for (const session::SettingId id : settings) {
        if (!control.tick(0, pairs)) {
            return Cancelled {};
        }
        const SettingPresses& setting = presses.emplace_back(settingPresses(session, id));
        ranking.settings.push_back(ranked(setting, limit, options.figure));
        latencies.push_back(stats::latenciesByRun(setting.runViews(), Edge::On, options.figure));
        if (std::vector<double> group = pooled(latencies.back()); !group.empty()) {
            groups.push_back(std::move(group));
        }
    }
    stats::RunComparisonOptions how;
    how.marginMs = options.marginMs;
    how.replicates = 0;
    how.planNeeded = settings.size() <= mostPlanned;
    how.rigVarianceMs2 = largestRigVarianceMs2(presses);
    auto byRuns = stats::rankByRuns(latencies, how, control);
    if (!byRuns.hasValue()) {
        return Cancelled {};
    }
    ranking.byRuns = std::move(byRuns).value();
    for (std::size_t i = 0; i < ranking.settings.size(); ++i) {
        ranking.settings[i].centreMs = ranking.byRuns.centresMs[i];
    }
    ranking.independent = groups.size() < 2 ? std::nullopt : stats::kruskalWallis(groups);
    ranking.sentences = sentencesOf(ranking);
    return ranking;
}

stats::Verdict verdictOf(const stats::RankedPair& pair)
{
    const bool stands = pair.toldApart || pair.shift.verdict == stats::Verdict::SameWithin;
    return stands ? pair.shift.verdict : stats::Verdict::Undecided;
}

} // namespace twinlamp::report

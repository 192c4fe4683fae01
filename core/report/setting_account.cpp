// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/setting_account.h"

#include "core/report/comparison_sentences.h"
#include "core/report/figure_text.h"
#include "core/report/setting_figures.h"
#include "core/session/effective.h"
#include "core/session/entry_fields.h"
#include "core/stats/compare/run_centres.h"
#include "core/stats/moments.h"

#include <algorithm>
#include <map>

namespace twinlamp::report {

namespace {

constexpr double percent = 100.0;

std::optional<stats::Estimate> centreOver(const SettingPresses& presses, stats::Figure figure)
{
    const auto runs = stats::latenciesByRun(presses.runViews(), Edge::On, figure);
    return stats::meanOverRuns(stats::centresOf(runs, stats::Centre::Median).blocks.figures);
}

std::optional<double> rateHz(const std::optional<Latency>& interval)
{
    constexpr double msPerSecond = 1000.0;
    return interval && interval->ns > 0 ? std::optional(msPerSecond / toMs(*interval))
                                        : std::nullopt;
}

/// Clips of one run share its clocks, so each run gives one value.
template<typename FigureOf>
std::optional<stats::Estimate> overRuns(const std::vector<ClipAccount>& clips, FigureOf figureOf)
{
    std::map<std::string, std::vector<double>> runs;
    for (const ClipAccount& clip : clips) {
        if (const std::optional<double> figure = figureOf(clip.panel)) {
            runs[clip.run].push_back(*figure);
        }
    }
    std::vector<double> means;
    for (const auto& [run, figures] : runs) {
        means.push_back(*stats::mean(figures));
    }
    return stats::meanOverRuns(means);
}

PanelOverRuns panelOverRuns(const std::vector<ClipAccount>& clips)
{
    return {
        overRuns(clips, [](const PanelTiming& panel) { return rateHz(panel.newFrameInterval); }),
        overRuns(clips, [](const PanelTiming& panel) { return rateHz(panel.refreshInterval); }),
        overRuns(clips,
            [](const PanelTiming& panel) {
                return panel.scan ? std::optional(toMs(*panel.scan)) : std::nullopt;
            }),
        overRuns(clips, [](const PanelTiming& panel) { return panel.heldShare; })};
}

std::string runName(const session::Session& session, const session::Clip& clip)
{
    const session::Run* run = session::find(session, clip.run);
    return run == nullptr ? std::string() : run->name;
}

std::vector<ClipAccount> clipAccounts(
    const session::Session& session, session::SettingId setting, const stats::SummaryOptions& asked)
{
    std::vector<ClipAccount> clips;
    for (const session::Clip* clip : session::clipsOf(session, setting)) {
        if (!clip->measurement) {
            continue;
        }
        const std::vector<Press> presses = session::countedPresses(*clip);
        stats::SummaryOptions how = asked;
        if (!how.linkFrameRate) {
            how.linkFrameRate = clip->measurement->options.linkFrameRate;
        }
        clips.push_back({session::fileNameOf(*clip), runName(session, *clip),
            stats::summarise(presses, Edge::On, how), stats::summarise(presses, Edge::Off, how),
            stats::summarise(presses, Edge::On, how, stats::Figure::FullFrame),
            clip->measurement->panelTiming.value_or(PanelTiming {})});
    }
    return clips;
}

void sayRuns(const SettingAccount& account, std::vector<Sentence>& sentences)
{
    const ComparedSetting& setting = account.firstLight;
    const std::string presses = std::to_string(setting.summary.n + setting.summary.noResponse);
    const std::string runs = std::to_string(setting.runs);
    if (setting.runs < stats::fewestRuns || !account.centreMs || !account.centreMs->interval.low) {
        sentences.push_back({"account-few-runs", {setting.name, presses, runs}});
        return;
    }
    const stats::Estimate& centre = *account.centreMs;
    const int decimals = decimalsFor((*centre.interval.high - *centre.interval.low) / 2.0);
    sentences.push_back({"account-centre",
        {setting.name, fixedText(centre.value, decimals), fixedText(*centre.interval.low, decimals),
            fixedText(*centre.interval.high, decimals), runs, presses}});
}

void sayLost(const ComparedSetting& setting, std::vector<Sentence>& sentences)
{
    const stats::Count& lost = setting.details.noResponse;
    if (lost.hits == 0) {
        return;
    }
    const auto text = [](double share) { return fixedText(percent * share, 1); };
    const stats::ShareInterval& interval = setting.details.noResponseInterval;
    sentences.push_back({"account-lost",
        {setting.name, std::to_string(lost.hits), std::to_string(lost.trials),
            text(setting.details.noResponseShare.value_or(0.0)), text(interval.low),
            text(interval.high)}});
}

void sayNeeds(const ComparedSetting& setting, std::vector<Sentence>& sentences)
{
    std::string list;
    const auto add = [&list](const char* name, const stats::QuantileFigure& figure) {
        if (figure.needs) {
            list += (list.empty() ? "" : ", ") + std::string(name) + " "
                + std::to_string(*figure.needs);
        }
    };
    add("p5", setting.details.p5);
    add("p95", setting.details.p95);
    add("p99", setting.details.p99);
    if (!list.empty()) {
        sentences.push_back({"account-needs",
            {setting.name, list, std::to_string(setting.summary.n + setting.summary.noResponse)}});
    }
}

void sayOverTime(const ComparedSetting& setting, std::vector<Sentence>& sentences)
{
    constexpr double error = 0.01; // as in the notes of a clip
    const auto& trend = setting.drift.trend;
    const auto& drift = setting.drift.drift;
    if (trend && drift && trend->pValue < error) {
        sentences.push_back({"account-runs-drift",
            {setting.name, fixedText(drift->slope, 2), fixedText(trend->pValue, 3)}});
    }
    for (const ClipTimes& clip : setting.clips) {
        const auto& times = clip.times;
        if (times.trend && times.drift && times.trend->pValue < error) {
            sentences.push_back({"account-clip-drifts",
                {setting.name, clip.file, fixedText(times.drift->slope, 2)}});
        }
        if (times.neighbours && times.neighbours->pValue < error) {
            sentences.push_back({"account-neighbours-alike",
                {setting.name, clip.file, fixedText(times.neighbours->r, 2)}});
        }
    }
}

std::vector<Sentence> sentencesOf(const SettingAccount& account)
{
    std::vector<Sentence> sentences;
    const ComparedSetting& setting = account.firstLight;
    if (setting.runs == 0) {
        sentences.push_back({"account-no-press", {setting.name}});
        return sentences;
    }
    sayRuns(account, sentences);
    sayLost(setting, sentences);
    sayNeeds(setting, sentences);
    if (const auto late = lateSentence(setting.name, setting)) {
        sentences.push_back(*late);
    }
    if (const auto outliers = outliersSentence(setting.name, setting)) {
        sentences.push_back(*outliers);
    }
    sayOverTime(setting, sentences);
    if (setting.summary.sawtoothPeriodMs) {
        sentences.push_back(
            {"account-sawtooth", {setting.name, fixedText(*setting.summary.sawtoothPeriodMs, 3)}});
    }
    if (account.clipsDoubtful > 0) {
        sentences.push_back(
            {"account-doubtful", {setting.name, std::to_string(account.clipsDoubtful)}});
    }
    if (account.clipsNotMeasured > 0) {
        sentences.push_back(
            {"fair-not-measured", {setting.name, std::to_string(account.clipsNotMeasured)}});
    }
    return sentences;
}

} // namespace

SettingAccount settingAccount(
    const session::Session& session, session::SettingId setting, std::optional<Latency> lateLimit)
{
    const SettingPresses presses = settingPresses(session, setting);
    SettingAccount account;
    account.lateLimit = lateLimit ? lateLimit : session.lateLimit;
    account.firstLight = comparedSetting(presses, stats::Figure::FirstLight, account.lateLimit);
    account.fullFrame = comparedSetting(presses, stats::Figure::FullFrame, account.lateLimit);
    account.centreMs = centreOver(presses, stats::Figure::FirstLight);
    account.fullFrameCentreMs = centreOver(presses, stats::Figure::FullFrame);
    account.clips
        = clipAccounts(session, setting, {account.lateLimit, presses.conditions.linkFrameRate});
    account.clipsNotMeasured = presses.clipsNotMeasured;
    account.panel = panelOverRuns(account.clips);
    for (const session::Clip* clip : session::clipsOf(session, setting)) {
        account.clipsDoubtful += areRegionsDoubtful(*clip) ? 1 : 0;
    }
    account.sentences = sentencesOf(account);
    return account;
}

} // namespace twinlamp::report

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/version.h"
#include "core/report/comparison_writer.h"
#include "core/report/figure_text.h"
#include "core/report/setting_account.h"
#include "core/report/summary_details_json.h"
#include "core/report/text_table.h"

#include <cstddef>

namespace twinlamp::report {

namespace {

constexpr double percent = 100.0;

Json valueOrNull(const std::optional<double>& value)
{
    return value ? Json(*value) : Json(nullptr);
}

Json estimateJson(const std::optional<stats::Estimate>& estimate, const std::string& unit)
{
    if (!estimate) {
        return nullptr;
    }
    return {{"estimate" + unit, estimate->value},
        {"low" + unit, valueOrNull(estimate->interval.low)},
        {"high" + unit, valueOrNull(estimate->interval.high)}};
}

Json accountJson(const SettingAccount& account)
{
    Json json = comparedSettingJson(account.firstLight);
    Json fullFrame = summaryJson(account.fullFrame.summary);
    addDetails(fullFrame, account.fullFrame.details);
    json["summary_full_frame"] = std::move(fullFrame);
    json["centre_over_runs"] = estimateJson(account.centreMs, "_ms");
    json["full_frame_centre_over_runs"] = estimateJson(account.fullFrameCentreMs, "_ms");
    json["panel"] = {{"new_frame", estimateJson(account.panel.newFrameHz, "_hz")},
        {"refresh", estimateJson(account.panel.refreshHz, "_hz")},
        {"scan", estimateJson(account.panel.scanMs, "_ms")},
        {"held_share", estimateJson(account.panel.heldShare, "")}};
    for (std::size_t i = 0; i < account.clips.size(); ++i) {
        const ClipAccount& clip = account.clips[i];
        Json& made = json["clips"][i];
        made["summary"] = summaryJson(clip.on);
        made["summary_off"] = summaryJson(clip.off);
        made["summary_full_frame"] = summaryJson(clip.fullFrame);
        made["panel_timing"] = panelTimingJson(clip.panel);
    }
    json["clips_not_measured"] = account.clipsNotMeasured;
    json["clips_with_doubtful_regions"] = account.clipsDoubtful;
    json["sentences"] = Json::array();
    for (const Sentence& sentence : account.sentences) {
        json["sentences"].push_back(english(sentence));
    }
    return json;
}

std::string numberOrDash(const std::optional<double>& value, int decimals)
{
    return value ? fixedText(*value, decimals) : "-";
}

std::string withInterval(
    const std::optional<double>& value, const stats::Interval& interval, double scale = 1.0)
{
    if (!value) {
        return "-";
    }
    if (!interval.low || !interval.high) {
        return fixedText(scale * *value, 1);
    }
    const int decimals = decimalsFor(scale * (*interval.high - *interval.low) / 2.0);
    return fixedText(scale * *value, decimals) + " (" + fixedText(scale * *interval.low, decimals)
        + " to " + fixedText(scale * *interval.high, decimals) + ")";
}

std::string withInterval(const std::optional<stats::Estimate>& estimate, double scale = 1.0)
{
    return estimate ? withInterval(estimate->value, estimate->interval, scale) : "-";
}

/// One run is no figure over runs.
std::string overRuns(const std::optional<stats::Estimate>& estimate)
{
    return estimate && estimate->interval.low ? withInterval(estimate) : "-";
}

std::string quantileText(const stats::QuantileFigure& figure)
{
    if (figure.needs) {
        return numberOrDash(figure.estimate, 1) + " (needs " + std::to_string(*figure.needs) + ")";
    }
    return withInterval(figure.estimate, figure.interval);
}

std::string medianText(const stats::Summary& s)
{
    return withInterval(s.medianMs, {s.medianLowMs, s.medianHighMs});
}

std::string linkSpreadText(const stats::Summary& s)
{
    return withInterval(s.linkSpreadMs, {s.linkSpreadLowMs, s.linkSpreadHighMs});
}

std::string lateText(const stats::Summary& s)
{
    if (!s.late || !s.lateShare || !s.lateLow || !s.lateHigh) {
        return {};
    }
    const double half = percent * (*s.lateHigh - *s.lateLow) / 2.0;
    const int decimals = decimalsFor(half);
    return std::to_string(*s.late) + ", " + fixedText(percent * *s.lateShare, decimals) + " % ("
        + fixedText(percent * *s.lateLow, decimals) + " to "
        + fixedText(percent * *s.lateHigh, decimals) + ")";
}

/// One setting in full.
std::string figuresTable(const SettingAccount& account)
{
    TextTable table({{"95 % intervals in brackets", Align::Left}, {"first light", Align::Left},
        {"full frame", Align::Left}, {"off edges", Align::Left}});
    const ComparedSetting& light = account.firstLight;
    const ComparedSetting& full = account.fullFrame;
    const auto add = [&](const char* name, auto textOf) {
        table.addRow({name, textOf(light.summary), textOf(full.summary), textOf(light.off)});
    };
    const auto addQuantile = [&](const char* name, const stats::QuantileFigure& ofLight,
                                 const stats::QuantileFigure& ofFull,
                                 const std::optional<double>& ofOff) {
        table.addRow({name, quantileText(ofLight), quantileText(ofFull), numberOrDash(ofOff, 1)});
    };
    add("presses", [](const stats::Summary& s) { return std::to_string(s.n); });
    add("never answered", [](const stats::Summary& s) { return std::to_string(s.noResponse); });
    add("set aside", [](const stats::Summary& s) { return std::to_string(s.setAside); });
    table.addRow({"centre over runs, ms", overRuns(account.centreMs),
        overRuns(account.fullFrameCentreMs), ""});
    add("median, ms", medianText);
    add("mean, ms", [](const stats::Summary& s) { return numberOrDash(s.meanMs, 2); });
    add("SD, ms", [](const stats::Summary& s) { return numberOrDash(s.sdMs, 2); });
    add("interquartile range, ms",
        [](const stats::Summary& s) { return numberOrDash(s.iqrMs, 2); });
    addQuantile("p5, ms", light.details.p5, full.details.p5, light.off.p5Ms);
    addQuantile("p95, ms", light.details.p95, full.details.p95, light.off.p95Ms);
    addQuantile("p99, ms", light.details.p99, full.details.p99, std::nullopt);
    add("maximum, ms", [](const stats::Summary& s) { return numberOrDash(s.maxMs, 1); });
    add("link spread, ms", linkSpreadText);
    if (account.lateLimit) {
        const std::string name = "later than " + exactMsText(account.lateLimit->ns) + " ms";
        add(name.c_str(), lateText);
    }
    return table.text();
}

std::string panelTable(const PanelOverRuns& panel)
{
    if (!panel.newFrameHz && !panel.refreshHz && !panel.scanMs && !panel.heldShare) {
        return {};
    }
    TextTable table({{"panel, over runs", Align::Left}, {"mean (95 %)", Align::Left}});
    table.addRow({"new frames/s", withInterval(panel.newFrameHz)});
    table.addRow({"refreshes/s", withInterval(panel.refreshHz)});
    table.addRow({"scan time, ms", withInterval(panel.scanMs)});
    table.addRow({"held frames, %", withInterval(panel.heldShare, percent)});
    return "\n" + table.text();
}

std::string clipsTable(const SettingAccount& account)
{
    TextTable table({{"clip", Align::Left}, {"run", Align::Left}, {"n"}, {"lost"},
        {"median (95 %), ms"}, {"SD, ms"}, {"full frame, ms"}, {"new frames/s"}});
    for (const ClipAccount& clip : account.clips) {
        const auto& interval = clip.panel.newFrameInterval;
        constexpr double msPerSecond = 1000.0;
        table.addRow({clip.file, clip.run, std::to_string(clip.on.n),
            std::to_string(clip.on.noResponse), medianText(clip.on), numberOrDash(clip.on.sdMs, 2),
            numberOrDash(clip.fullFrame.medianMs, 1),
            interval ? fixedText(msPerSecond / toMs(*interval), 1) : ""});
    }
    return "\n" + table.text();
}

std::string settingsTable(const std::vector<SettingAccount>& accounts)
{
    TextTable table({{"link setting", Align::Left}, {"runs"}, {"n"}, {"lost"},
        {"over runs (95 %), ms"}, {"median (95 %), ms"}, {"SD"}, {"p5"}, {"p95"}, {"maximum"},
        {"link spread"}, {"full frame"}, {"late"}});
    for (const SettingAccount& account : accounts) {
        const stats::Summary& s = account.firstLight.summary;
        table.addRow({account.firstLight.name, std::to_string(account.firstLight.runs),
            std::to_string(s.n), std::to_string(s.noResponse), overRuns(account.centreMs),
            medianText(s), numberOrDash(s.sdMs, 2), numberOrDash(s.p5Ms, 1),
            numberOrDash(s.p95Ms, 1), numberOrDash(s.maxMs, 1), linkSpreadText(s),
            numberOrDash(account.fullFrame.summary.medianMs, 1), lateText(s)});
    }
    return table.text();
}

} // namespace

Json accountsJson(const std::vector<SettingAccount>& accounts)
{
    Json json {
        {"tool", "twinlamp"}, {"version", std::string(version())}, {"settings", Json::array()}};
    for (const SettingAccount& account : accounts) {
        json["settings"].push_back(accountJson(account));
    }
    return json;
}

std::string accountsText(const std::vector<SettingAccount>& accounts)
{
    if (accounts.empty()) {
        return "No link setting yet.\n";
    }
    std::string text;
    if (accounts.size() == 1) {
        const SettingAccount& account = accounts.front();
        text = account.firstLight.name + "\n\n" + figuresTable(account) + panelTable(account.panel)
            + clipsTable(account);
    } else {
        text = settingsTable(accounts);
    }
    text += "\n";
    for (const SettingAccount& account : accounts) {
        for (const Sentence& sentence : account.sentences) {
            text += "- " + english(sentence) + "\n";
        }
    }
    return text + "- " + english(Sentence {"account-independent", {}}) + "\n";
}

} // namespace twinlamp::report

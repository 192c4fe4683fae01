// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/check_report.h"

#include "core/base/version.h"
#include "core/base/wire_names.h"
#include "core/report/figure_text.h"
#include "core/report/table_writer.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

namespace twinlamp::report {

namespace {

std::string plain(double value)
{
    constexpr int decimals = 6;
    std::string text = fixedText(value, decimals);
    text.erase(text.find_last_not_of('0') + 1);
    if (text.ends_with('.')) {
        text.pop_back();
    }
    return text;
}

std::string rowsText(RowSpan rows)
{
    return std::to_string(rows.first) + " to " + std::to_string(rows.last - 1);
}

struct Sayer
{
    const CheckResult& check;
    std::vector<Sentence>& says;

    void operator()(const ZeroFigures& f) const
    {
        const FigureText difference = figureText(f.differenceMs, f.uncertaintyMs);
        says.push_back({"zero-check-says",
            {difference.value, difference.halfWidth, std::to_string(check.edges)}});
        if (std::abs(f.differenceMs) <= f.uncertaintyMs) {
            says.push_back({"zero-check-holds-zero", {}});
        }
        if (f.lineTimeUs && f.lineTimeUncertaintyUs) {
            const FigureText line = figureText(*f.lineTimeUs, f.lineTimeUncertaintyUs);
            says.push_back({"zero-check-line-time", {line.value, line.halfWidth}});
        } else if (f.lineTimeUs) {
            says.push_back({"zero-check-line-time-given", {plain(*f.lineTimeUs)}});
        } else {
            says.push_back(
                {"zero-check-skew", {rowsText(f.referenceRows), rowsText(f.goggleRows)}});
        }
    }

    void operator()(const TimeBaseFigures& f) const
    {
        const FigureText rate = figureText(f.captureRateHz, f.uncertaintyHz);
        says.push_back({"time-base-check-says",
            {rate.value, rate.halfWidth, std::to_string(check.edges), std::to_string(f.cycles),
                plain(f.periodMs)}});
        if (!f.labelledRateHz) {
            return;
        }
        const double offHz = f.captureRateHz - *f.labelledRateHz;
        if (std::abs(offHz) <= f.uncertaintyHz) {
            says.push_back({"time-base-check-label-holds", {plain(*f.labelledRateHz)}});
        } else {
            constexpr double perMillion = 1e6;
            const FigureText off = figureText(perMillion * offHz / *f.labelledRateHz,
                perMillion * f.uncertaintyHz / *f.labelledRateHz);
            says.push_back({"time-base-check-label", {off.value, plain(*f.labelledRateHz)}});
        }
    }
};

struct FiguresWriter
{
    Json& json;

    void operator()(const ZeroFigures& f) const
    {
        json["difference_ms"] = f.differenceMs;
        json["uncertainty_ms"] = f.uncertaintyMs;
        json["scatter_ms"] = f.scatterMs;
        json["line_time_us"] = f.lineTimeUs ? Json(*f.lineTimeUs) : Json(nullptr);
        json["line_time_uncertainty_us"]
            = f.lineTimeUncertaintyUs ? Json(*f.lineTimeUncertaintyUs) : Json(nullptr);
        json["line_time_source"] = f.lineTimeUncertaintyUs ? Json("fitted")
            : f.lineTimeUs                                 ? Json("given")
                                                           : Json(nullptr);
        json["reference_rows"] = {f.referenceRows.first, f.referenceRows.last};
        json["goggle_rows"] = {f.goggleRows.first, f.goggleRows.last};
    }

    void operator()(const TimeBaseFigures& f) const
    {
        json["capture_rate_hz"] = f.captureRateHz;
        json["uncertainty_hz"] = f.uncertaintyHz;
        json["labelled_rate_hz"] = f.labelledRateHz ? Json(*f.labelledRateHz) : Json(nullptr);
        json["scatter_ms"] = f.scatterMs;
        json["period_ms"] = f.periodMs;
        json["period_uncertainty_ms"] = f.periodUncertaintyMs;
        json["cycles"] = f.cycles;
    }
};

Json startOf(CheckKind kind)
{
    Json json;
    json["tool"] = "twinlamp";
    json["version"] = version();
    json["check"] = wireName(kind);
    return json;
}

Json rectOf(RectPx rect) { return Json::array({rect.x, rect.y, rect.width, rect.height}); }

} // namespace

CheckVerdict verdictOf(const CheckResult& check)
{
    constexpr std::array<std::string_view, 2> mending {"zero-large", "lamp-driven-fast"};
    constexpr std::array<std::string_view, 1> plainFacts {"exposure-estimated"};
    const auto isOneOf = [](const auto& ids) {
        return
            [&ids](const Sentence& note) { return std::ranges::find(ids, note.id) != ids.end(); };
    };
    if (std::ranges::any_of(check.notes, isOneOf(mending))
        || hasFlag(check.flags, Flag::ReferenceClipped)) {
        return CheckVerdict::Mend;
    }
    return check.flags.empty() && std::ranges::all_of(check.notes, isOneOf(plainFacts))
        ? CheckVerdict::Good
        : CheckVerdict::Look;
}

std::vector<Sentence> checkSentences(const CheckResult& check)
{
    std::vector<Sentence> says;
    std::visit(Sayer {check, says}, check.figures);
    says.insert(says.end(), check.notes.begin(), check.notes.end());
    return says;
}

Json checkJson(const CheckResult& check, const ClipFacts& clip, const CheckedRegions& regions)
{
    Json json = startOf(check.kind());
    std::visit(FiguresWriter {json}, check.figures);
    json["edges"] = check.edges;
    json["flags"] = Json::array();
    for (const Flag flag : check.flags) {
        json["flags"].push_back(flagId(flag));
    }
    json["notes"] = Json::array();
    for (const Sentence& sentence : checkSentences(check)) {
        json["notes"].push_back(english(sentence));
    }
    json["regions"] = {{"reference", rectOf(regions.reference)},
        {"goggle", regions.goggle ? rectOf(*regions.goggle) : Json(nullptr)},
        {"source", wireName(regions.source)}};
    json["clip"] = clipJson(clip);
    return json;
}

Json emptyCheckJson(CheckKind kind, const std::string& reason)
{
    Json json = startOf(kind);
    if (kind == CheckKind::Zero) {
        for (const char* key :
            {"difference_ms", "uncertainty_ms", "line_time_us", "line_time_uncertainty_us"}) {
            json[key] = nullptr;
        }
    } else {
        for (const char* key : {"capture_rate_hz", "uncertainty_hz", "labelled_rate_hz"}) {
            json[key] = nullptr;
        }
    }
    json["edges"] = 0;
    json["flags"] = Json::array();
    json["notes"] = Json::array({reason});
    return json;
}

std::string checkText(const CheckResult& check, const ClipFacts& clip)
{
    std::string text = clipLine(clip);
    for (const Sentence& sentence : checkSentences(check)) {
        text += english(sentence) + "\n";
    }
    for (const Flag flag : check.flags) {
        text += std::string(flagId(flag)) + ": " + std::string(flagSentence(flag)) + "\n";
    }
    return text;
}

} // namespace twinlamp::report

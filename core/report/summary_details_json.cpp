// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/summary_details_json.h"

#include "core/report/figure_text.h"

#include <array>
#include <charconv>
#include <string>

namespace twinlamp::report {

namespace {

Json msOrNull(const std::optional<double>& ms) { return ms ? Json(roundedMs(*ms)) : Json(nullptr); }

/// Nine significant digits: what compilers and machines agree on.
double shortNumber(double value)
{
    constexpr int digits = 9;
    std::array<char, 32> text {};
    const auto end = std::to_chars(
        text.data(), text.data() + text.size(), value, std::chars_format::general, digits);
    double rounded = value;
    std::from_chars(text.data(), end.ptr, rounded);
    return rounded;
}

Json valueOrNull(const std::optional<double>& value)
{
    return value ? Json(shortNumber(*value)) : Json(nullptr);
}

void addQuantile(Json& json, const std::string& name, const stats::QuantileFigure& figure)
{
    json[name + "_ms"] = msOrNull(figure.estimate);
    json[name + "_low_ms"] = msOrNull(figure.interval.low);
    json[name + "_high_ms"] = msOrNull(figure.interval.high);
    json[name + "_needs"] = figure.needs ? Json(*figure.needs) : Json(nullptr);
}

/// @param unit  such as "ms_per_minute"
Json driftJson(const std::optional<stats::TheilSen>& slope,
    const std::optional<stats::MannKendall>& trend, const std::string& unit)
{
    if (!slope) {
        return nullptr;
    }
    Json json;
    json["slope_" + unit] = shortNumber(slope->slope);
    json["low_" + unit] = valueOrNull(slope->interval.low);
    json["high_" + unit] = valueOrNull(slope->interval.high);
    json["tau"] = trend ? Json(shortNumber(trend->tau)) : Json(nullptr);
    json["p_value"] = trend ? Json(shortNumber(trend->pValue)) : Json(nullptr);
    return json;
}

} // namespace

void addDetails(Json& summary, const stats::SummaryDetails& details)
{
    addQuantile(summary, "p5", details.p5);
    addQuantile(summary, "p95", details.p95);
    addQuantile(summary, "p99", details.p99);
    const bool hasPresses = details.noResponseShare.has_value();
    summary["no_response_share"] = valueOrNull(details.noResponseShare);
    summary["no_response_low"]
        = hasPresses ? Json(shortNumber(details.noResponseInterval.low)) : Json(nullptr);
    summary["no_response_high"]
        = hasPresses ? Json(shortNumber(details.noResponseInterval.high)) : Json(nullptr);
    summary["could_have_missed"]
        = hasPresses ? Json(shortNumber(details.largestMissedShare)) : Json(nullptr);
}

void addTimes(Json& json, const stats::TimeFigures& times)
{
    json["drift"] = driftJson(times.drift, times.trend, "ms_per_minute");
    Json independence;
    independence["stretches"] = times.order ? Json(times.order->runs) : Json(nullptr);
    independence["stretches_expected"]
        = times.order ? Json(shortNumber(times.order->expected)) : Json(nullptr);
    independence["stretches_p_value"]
        = times.order ? Json(shortNumber(times.order->pValue)) : Json(nullptr);
    independence["lag_1"]
        = times.neighbours ? Json(shortNumber(times.neighbours->r)) : Json(nullptr);
    independence["lag_1_band"]
        = times.neighbours ? Json(shortNumber(times.neighbours->band)) : Json(nullptr);
    independence["lag_1_p_value"]
        = times.neighbours ? Json(shortNumber(times.neighbours->pValue)) : Json(nullptr);
    json["independence"] = std::move(independence);
}

Json runDriftJson(const stats::RunDrift& drift)
{
    return driftJson(drift.drift, drift.trend, "ms_per_run");
}

Json outlierJson(const stats::NamedOutlier& outlier)
{
    return {{"index", outlier.press}, {"latency_ms", roundedMs(outlier.latencyMs)},
        {"score", shortNumber(outlier.score)}};
}

} // namespace twinlamp::report

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/report/measurement_figures.h"
#include "core/stats/summary.h"

#include <nlohmann/json.hpp>
#include <string>

namespace twinlamp::report {

/// Keys keep the order in which they are written.
using Json = nlohmann::ordered_json;

/// The JSON of `twinlamp measure`. Times are ms rounded to ns, what could not be measured is null.
/// Keys beyond the agreed ones: `late_limit_ms`, `iqr_ms`, `largest_measured_ms`, `set_aside` in
/// the summaries, with what summary_details_json.h adds; `line_time_us` and `line_time_source` in
/// clip.
[[nodiscard]] Json measurementJson(const ClipResult& result, const MeasurementFigures& figures);

/// Facts of the clip, as under `clip`.
[[nodiscard]] Json clipJson(const ClipFacts& clip);
/// Timing of the panel, as under `panel_timing`.
[[nodiscard]] Json panelTimingJson(const PanelTiming& timing);
[[nodiscard]] Json summaryJson(const stats::Summary& summary);
[[nodiscard]] Json pressJson(const Press& press);

/// UTF-8 text with a line feed at its end; bytes that are not UTF-8 (file names) are replaced.
[[nodiscard]] std::string toText(const Json& json);

} // namespace twinlamp::report

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/report/json_writer.h"
#include "core/stats/summary_details.h"

namespace twinlamp::report {

/// Adds to a summary's JSON: tail quantiles with their intervals and how many presses these need
/// (null where there are enough), the share of lost answers, `could_have_missed`.
void addDetails(Json& summary, const stats::SummaryDetails& details);

/// Adds `drift` and `independence` over one clip.
void addTimes(Json& json, const stats::TimeFigures& times);

/// Slope of the run medians and its trend.
[[nodiscard]] Json runDriftJson(const stats::RunDrift& drift);

/// Press, latency and score of one outlier.
[[nodiscard]] Json outlierJson(const stats::NamedOutlier& outlier);

} // namespace twinlamp::report

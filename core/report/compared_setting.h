// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"
#include "core/report/setting_presses.h"
#include "core/stats/summary.h"
#include "core/stats/summary_details.h"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace twinlamp::report {

/// How latencies went over one clip, with its name.
struct ClipTimes
{
    std::string file;
    std::string run;
    stats::TimeFigures times;
};

/// One setting of a comparison, or alone. Figures of `on` edges unless named otherwise.
struct ComparedSetting
{
    std::string name;
    std::int64_t runs = 0; ///< that have a press which counts
    std::vector<std::string> runNames; ///< of these
    stats::Summary summary;
    stats::SummaryDetails details; ///< outliers by their place in `clips`
    stats::Summary off; ///< beside it, never pooled with it
    stats::RunDrift drift;
    std::vector<ClipTimes> clips;
};

/// @param lateLimit  empty: no late share
[[nodiscard]] ComparedSetting comparedSetting(
    const SettingPresses& presses, stats::Figure figure, std::optional<Latency> lateLimit);

} // namespace twinlamp::report

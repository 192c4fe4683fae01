// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/report/json_writer.h"
#include "core/report/setting_comparison.h"

#include <string>

namespace twinlamp::report {

/// The JSON of `twinlamp compare`. Keys beyond the agreed ones: what is adjusted for the number of
/// questions (`p_value_adjusted`, `held_back`, `questions`), the block bootstrap, `effect` (Cliff's
/// delta by runs), `runs_needed`,
/// `run_names`, `summary_off`, `clips`, `drift_over_runs`, and the figures for independent presses
/// under `as_if_presses_were_independent`.
[[nodiscard]] Json comparisonJson(const SettingComparison& comparison);

/// One setting of it, as under `a` and `b`.
[[nodiscard]] Json comparedSettingJson(const ComparedSetting& setting);

/// Tables, then a sentence a line.
[[nodiscard]] std::string comparisonText(const SettingComparison& comparison);

} // namespace twinlamp::report

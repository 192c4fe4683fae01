// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/report/json_writer.h"
#include "core/report/setting_ranking.h"

#include <string>

namespace twinlamp::report {

/// The JSON of `twinlamp compare` with three settings or more: `settings` fastest first, `pairs`
/// with their p-values adjusted by Holm, `tied_with_fastest`, `sentences`, and Kruskal-Wallis under
/// `as_if_presses_were_independent`.
[[nodiscard]] Json rankingJson(const SettingRanking& ranking);

/// Tables, then a sentence a line.
[[nodiscard]] std::string rankingText(const SettingRanking& ranking);

} // namespace twinlamp::report

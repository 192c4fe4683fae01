// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/plan/plan.h"

#include <functional>
#include <string>

namespace twinlamp::stats {

/// Smallest count in [first, mostPlannedPresses] for which `enough` holds; `enough` turns from
/// false to true once.
/// @error Stats/InvalidValue  not even the largest count is enough
[[nodiscard]] Result<std::int64_t> fewestPresses(
    std::int64_t first, const std::function<bool(std::int64_t)>& enough);

/// Complains in a sentence where a value is not between 0 and 1.
[[nodiscard]] Result<void> checkShare(const char* what, double value);

/// Complains in a sentence where a value is not above 0.
[[nodiscard]] Result<void> checkPositive(const char* what, double value);

/// Shortest text that reads back as the value.
[[nodiscard]] std::string shortText(double value);

/// What every plan takes for granted: independent presses, spread over several runs.
[[nodiscard]] std::vector<Sentence> commonAssumptions();

} // namespace twinlamp::stats

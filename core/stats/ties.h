// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <span>
#include <vector>

namespace twinlamp::stats {

/// How often each value occurs that occurs more than once.
[[nodiscard]] std::vector<std::int64_t> tieSizes(std::span<const double> values);

/// Sum of t^3 - t over the ties: what rank statistics lose to them.
[[nodiscard]] double tieLoss(std::span<const double> values);

/// Ranks from 1, equal values sharing the mean of theirs, in the order of the values.
[[nodiscard]] std::vector<double> midRanks(std::span<const double> values);

} // namespace twinlamp::stats

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <span>
#include <vector>

namespace twinlamp::stats {

/// Null distribution of the sum of the ranks that fall to the first of two samples when all ways to
/// deal them out are as likely. Doubled ranks, so that shared ones are integers.
///
/// @param doubledRanks  of all values of both samples
/// @param first         size of the first sample
/// @return chance[s]: of the doubled rank sum s, up to the sum of all
/// @pre first <= doubledRanks.size(), ranks > 0
/// Cost:   size * first * sum of the ranks.
[[nodiscard]] std::vector<double> rankSumChances(
    std::span<const std::int64_t> doubledRanks, std::size_t first);

/// Largest k with P(U <= k - 1) <= tail for samples of these sizes without ties: the rank of the
/// ordered differences that bounds a shift. 0 where there is none.
/// @pre sizes > 0, tail in (0, 0.5)
[[nodiscard]] std::int64_t shiftRank(std::size_t first, std::size_t second, double tail);

} // namespace twinlamp::stats

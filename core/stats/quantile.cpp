// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/quantile.h"

#include "core/base/contracts.h"

#include <cmath>

namespace twinlamp::stats {

std::optional<double> quantileType7(const OrderedSample& sample, double share)
{
    TL_EXPECTS(share >= 0.0 && share <= 1.0 && sample.lost >= 0);
    const auto known = static_cast<std::int64_t>(sample.sorted.size());
    if (sample.count() == 0) {
        return std::nullopt;
    }
    const double position = static_cast<double>(sample.count() - 1) * share;
    const auto below = static_cast<std::int64_t>(std::floor(position));
    const double fraction = position - static_cast<double>(below);
    // An interpolation of weight 0 does not need its upper neighbour.
    const std::int64_t above = fraction > 0.0 ? below + 1 : below;
    if (above >= known) {
        return std::nullopt;
    }
    const double low = sample.sorted[static_cast<std::size_t>(below)];
    const double high = sample.sorted[static_cast<std::size_t>(above)];
    return low + fraction * (high - low);
}

std::optional<double> quantileType7(std::span<const double> sorted, double share)
{
    return quantileType7(OrderedSample {sorted, 0}, share);
}

} // namespace twinlamp::stats

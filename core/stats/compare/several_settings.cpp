// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/several_settings.h"

#include "core/base/contracts.h"
#include "core/stats/special_functions.h"
#include "core/stats/ties.h"

#include <algorithm>
#include <numeric>

namespace twinlamp::stats {

std::optional<KruskalWallis> kruskalWallis(std::span<const std::vector<double>> groups)
{
    TL_EXPECTS(groups.size() >= 2);
    std::vector<double> all;
    for (const std::vector<double>& group : groups) {
        if (group.empty()) {
            return std::nullopt;
        }
        all.insert(all.end(), group.begin(), group.end());
    }
    const auto n = static_cast<double>(all.size());
    const double untied = 1.0 - tieLoss(all) / (n * n * n - n);
    if (!(untied > 0.0)) {
        return std::nullopt;
    }
    const std::vector<double> ranks = midRanks(all);
    double sum = 0.0;
    auto first = ranks.begin();
    for (const std::vector<double>& group : groups) {
        const auto count = static_cast<double>(group.size());
        const auto last = first + static_cast<std::ptrdiff_t>(group.size());
        // About the mean rank, so that no large numbers are subtracted.
        const double away = std::accumulate(first, last, 0.0) / count - (n + 1.0) / 2.0;
        sum += count * away * away;
        first = last;
    }
    KruskalWallis test;
    test.h = 12.0 / (n * (n + 1.0)) * sum / untied;
    test.degrees = static_cast<double>(groups.size() - 1);
    test.pValue = chiSquareAbove(test.degrees, test.h);
    return test;
}

std::vector<double> holmAdjusted(std::span<const double> pValues)
{
    std::vector<std::size_t> order(pValues.size());
    std::iota(order.begin(), order.end(), std::size_t {0});
    std::ranges::stable_sort(order, {}, [pValues](std::size_t i) { return pValues[i]; });
    std::vector<double> adjusted(pValues.size());
    double largest = 0.0;
    for (std::size_t place = 0; place < order.size(); ++place) {
        const auto left = static_cast<double>(order.size() - place);
        largest = std::max(largest, std::min(1.0, left * pValues[order[place]]));
        adjusted[order[place]] = largest;
    }
    return adjusted;
}

} // namespace twinlamp::stats

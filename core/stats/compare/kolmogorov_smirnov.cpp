// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/kolmogorov_smirnov.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <vector>

namespace twinlamp::stats {

namespace {

/// The pooled values in order: from[k] tells whether the k-th is of x; last[k], whether a larger
/// value follows, so that the distributions may be compared after it.
struct PooledOrder
{
    std::vector<bool> fromX;
    std::vector<bool> last;
};

PooledOrder pooledOrder(const TwoSamples& samples)
{
    struct Entry
    {
        double value = 0.0;
        bool fromX = false;
    };

    std::vector<Entry> entries;
    for (const double value : samples.x) {
        entries.push_back({value, true});
    }
    for (const double value : samples.y) {
        entries.push_back({value, false});
    }
    std::ranges::sort(entries, {}, &Entry::value);
    PooledOrder order;
    for (std::size_t k = 0; k < entries.size(); ++k) {
        order.fromX.push_back(entries[k].fromX);
        order.last.push_back(k + 1 == entries.size() || entries[k + 1].value > entries[k].value);
    }
    return order;
}

/// Largest |i n - j m| at a comparable place: the distance times m n, an integer.
std::int64_t largestDistance(const PooledOrder& order, std::int64_t m, std::int64_t n)
{
    std::int64_t distance = 0;
    std::int64_t walk = 0;
    for (std::size_t k = 0; k < order.fromX.size(); ++k) {
        walk += order.fromX[k] ? n : -m;
        if (order.last[k]) {
            distance = std::max(distance, std::abs(walk));
        }
    }
    return distance;
}

/// Share of the walks that reach the distance at a comparable place. beyond[j] is the chance that a
/// random walk to i values of x and j of y has reached it; kept as the complement of nothing, so
/// that small chances keep their digits.
double exactBeyond(const PooledOrder& order, std::size_t m, std::size_t n, std::int64_t distance)
{
    std::vector<double> beyond(n + 1, 0.0);
    for (std::size_t i = 0; i <= m; ++i) {
        for (std::size_t j = 0; j <= n; ++j) {
            const auto fromX
                = static_cast<double>(i) / static_cast<double>(std::max<std::size_t>(i + j, 1));
            const double before
                = (i > 0 ? fromX * beyond[j] : 0.0) + (j > 0 ? (1.0 - fromX) * beyond[j - 1] : 0.0);
            const std::int64_t walk = static_cast<std::int64_t>(i) * static_cast<std::int64_t>(n)
                - static_cast<std::int64_t>(j) * static_cast<std::int64_t>(m);
            const bool reached = i + j > 0 && order.last[i + j - 1] && std::abs(walk) >= distance;
            beyond[j] = reached ? 1.0 : before;
        }
    }
    return beyond[n];
}

} // namespace

double kolmogorovAbove(double x)
{
    if (x <= 0.0) {
        return 1.0;
    }
    // Below 1 the series in exp(-pi^2 / 8 x^2) settles in a few terms, above it the other one.
    constexpr int terms = 40;
    double sum = 0.0;
    if (x < 1.0) {
        const double base = -std::numbers::pi * std::numbers::pi / (8.0 * x * x);
        for (int k = 1; k < 2 * terms; k += 2) {
            sum += std::exp(base * k * k);
        }
        return 1.0 - std::sqrt(2.0 * std::numbers::pi) / x * sum;
    }
    double sign = 1.0;
    for (int k = 1; k <= terms; ++k) {
        sum += sign * std::exp(-2.0 * k * k * x * x);
        sign = -sign;
    }
    return 2.0 * sum;
}

std::optional<KolmogorovSmirnov> kolmogorovSmirnov(const TwoSamples& samples)
{
    const std::size_t m = samples.x.size();
    const std::size_t n = samples.y.size();
    if (m == 0 || n == 0) {
        return std::nullopt;
    }
    const PooledOrder order = pooledOrder(samples);
    const std::int64_t distance
        = largestDistance(order, static_cast<std::int64_t>(m), static_cast<std::int64_t>(n));
    const double pairs = static_cast<double>(m) * static_cast<double>(n);
    KolmogorovSmirnov test;
    test.distance = static_cast<double>(distance) / pairs;
    test.isExact = m * n < mostPairsForExactDistance;
    test.pValue = test.isExact
        ? exactBeyond(order, m, n, distance)
        : kolmogorovAbove(test.distance * std::sqrt(pairs / static_cast<double>(m + n)));
    return test;
}

} // namespace twinlamp::stats

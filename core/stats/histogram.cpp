// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/histogram.h"

#include "core/base/contracts.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace twinlamp::stats {

namespace {

constexpr Latency widthOfEqualValues {100'000};

/// Quantile of type 7, as quantileType7 gives it, without sorting all: a scan that adds presses
/// asks for it at every one. Reorders the values.
double quantileInPlace(std::vector<Latency>& values, double p)
{
    const double place = static_cast<double>(values.size() - 1) * p;
    const auto low = static_cast<std::ptrdiff_t>(place);
    std::ranges::nth_element(values, values.begin() + low);
    const auto atLow = static_cast<double>(values[static_cast<std::size_t>(low)].ns);
    if (static_cast<std::size_t>(low) + 1 == values.size()) {
        return atLow;
    }
    const auto next = std::min_element(values.begin() + low + 1, values.end());
    return atLow + (place - static_cast<double>(low)) * (static_cast<double>(next->ns) - atLow);
}

std::int64_t floorDivision(std::int64_t a, std::int64_t b) { return a / b - (a % b < 0 ? 1 : 0); }

/// Every value less the median of its row: how far apart the rows lie must not coarsen the bins.
std::vector<Latency> deviationsWithinRows(std::span<const std::vector<Latency>> rows)
{
    std::vector<Latency> deviations;
    for (std::vector<Latency> row : rows) {
        if (row.empty()) {
            continue;
        }
        const auto middle = row.begin() + static_cast<std::ptrdiff_t>(row.size() / 2);
        std::ranges::nth_element(row, middle);
        const Latency median = *middle;
        for (const Latency value : row) {
            deviations.push_back(value - median);
        }
    }
    return deviations;
}

Latency widthFor(std::span<const Latency> deviations, Latency range)
{
    const double rule = freedmanDiaconisWidthNs(deviations);
    if (rule > 0.0) {
        return roundedWidth(rule);
    }
    constexpr double binsOfZeroIqr = 10.0;
    return range.ns > 0 ? roundedWidth(static_cast<double>(range.ns) / binsOfZeroIqr)
                        : widthOfEqualValues;
}

} // namespace

double freedmanDiaconisWidthNs(std::span<const Latency> values)
{
    if (values.empty()) {
        return 0.0;
    }
    std::vector<Latency> room(values.begin(), values.end());
    const double upper = quantileInPlace(room, 0.75);
    const double iqr = upper - quantileInPlace(room, 0.25);
    return 2.0 * iqr / std::cbrt(static_cast<double>(values.size()));
}

Latency roundedWidth(double ns)
{
    constexpr std::array<std::int64_t, 3> series {1, 2, 5};
    Latency best {1};
    double bestRatio = std::abs(std::log(std::max(ns, 1.0)));
    // 18 decades fill the range of int64.
    std::int64_t decade = 1;
    for (int exponent = 0; exponent < 18; ++exponent, decade *= 10) {
        for (const std::int64_t step : series) {
            const std::int64_t candidate = step * decade;
            const double ratio
                = std::abs(std::log(std::max(ns, 1.0) / static_cast<double>(candidate)));
            if (ratio < bestRatio) {
                best = {candidate};
                bestRatio = ratio;
            }
        }
    }
    return best;
}

HistogramAxis sharedAxis(std::span<const std::vector<Latency>> rows, std::size_t maxBins)
{
    TL_EXPECTS(maxBins > 0);
    std::vector<Latency> pooled;
    for (const std::vector<Latency>& row : rows) {
        pooled.insert(pooled.end(), row.begin(), row.end());
    }
    if (pooled.empty()) {
        return {};
    }
    const auto [smallestAt, largestAt] = std::ranges::minmax_element(pooled);
    const Latency smallest = *smallestAt;
    const Latency largest = *largestAt;
    HistogramAxis axis;
    axis.width = widthFor(deviationsWithinRows(rows), largest - smallest);
    std::int64_t firstBin = floorDivision(smallest.ns, axis.width.ns);
    std::int64_t endBin = floorDivision(largest.ns, axis.width.ns) + 1;
    const auto most = static_cast<std::int64_t>(maxBins);
    if (endBin - firstBin > most) {
        const auto median = pooled.begin() + static_cast<std::ptrdiff_t>(pooled.size() / 2);
        std::ranges::nth_element(pooled, median);
        const std::int64_t middle = floorDivision(median->ns, axis.width.ns) - most / 2;
        firstBin = std::clamp(middle, firstBin, endBin - most);
        endBin = firstBin + most;
    }
    axis.first = {firstBin * axis.width.ns};
    axis.bins = static_cast<std::size_t>(endBin - firstBin);
    return axis;
}

Histogram histogramOn(const HistogramAxis& axis, std::span<const Latency> values)
{
    TL_EXPECTS(axis.width.ns > 0);
    Histogram histogram {axis, std::vector<std::int64_t>(axis.bins, 0), 0, 0};
    for (const Latency value : values) {
        if (value < axis.first) {
            ++histogram.under;
        } else if (value >= axis.end()) {
            ++histogram.over;
        } else {
            ++histogram
                  .counts[static_cast<std::size_t>((value.ns - axis.first.ns) / axis.width.ns)];
        }
    }
    return histogram;
}

} // namespace twinlamp::stats

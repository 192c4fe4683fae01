// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace twinlamp::stats {

/// Bins that every row of a comparison shares: bin k holds [first + k width, first + (k + 1)
/// width).
struct HistogramAxis
{
    Latency first;
    Latency width {1}; ///< > 0
    std::size_t bins = 0;
    bool operator==(const HistogramAxis&) const = default;

    [[nodiscard]] Latency lowerEdge(std::size_t bin) const
    {
        return {first.ns + static_cast<std::int64_t>(bin) * width.ns};
    }

    [[nodiscard]] Latency end() const { return lowerEdge(bins); }
};

/// Counts on one axis. under + over + all counts = number of values.
struct Histogram
{
    HistogramAxis axis;
    std::vector<std::int64_t> counts; ///< axis.bins of them
    std::int64_t under = 0; ///< values below the axis
    std::int64_t over = 0; ///< values at or past its end
    bool operator==(const Histogram&) const = default;
};

/// Width 2 IQR n^(-1/3) of D. Freedman and P. Diaconis (1981, from memory), IQR by quantiles of
/// type 7. Unit: ns. 0 where the IQR is 0 or there is no value.
[[nodiscard]] double freedmanDiaconisWidthNs(std::span<const Latency> values);

/// The number of the series 1, 2, 5, 10, 20, ... ns that is nearest to `ns` in ratio; 1 ns at
/// least.
[[nodiscard]] Latency roundedWidth(double ns);

/// One axis for all rows: width by Freedman-Diaconis of the pooled deviations from each row's
/// median, rounded to 1-2-5; edges on multiples of the width; from the smallest to the largest
/// value, but no more than `maxBins` bins around the pooled median (what lies outside is counted
/// under or over).
///
/// Where the IQR is 0 the width is a tenth of the range; where all values are equal, 0.1 ms.
/// @return An axis of no bins where there is no value.
/// Tests: tests/core/stats/histogram_test.cpp
[[nodiscard]] HistogramAxis sharedAxis(
    std::span<const std::vector<Latency>> rows, std::size_t maxBins = 400);

/// Counts in integers of ns: a value on an edge is in the bin that starts there. No value is lost.
[[nodiscard]] Histogram histogramOn(const HistogramAxis& axis, std::span<const Latency> values);

} // namespace twinlamp::stats

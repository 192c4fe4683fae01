// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/plots/histogram_geometry.h"

#include <algorithm>

namespace twinlamp::ui {

namespace {

constexpr double airShare = 0.06;
constexpr double leastSpanMs = 4.0; ///< so that one narrow row does not look like a wide one
constexpr double thinnestPx = 1.0;
constexpr double lowestPx = 2.0;

} // namespace

AxisMapping histogramMapping(const stats::HistogramAxis& axis, double firstPx, double lastPx)
{
    if (axis.bins == 0) {
        return {0.0, 1.0, firstPx, lastPx};
    }
    const double low = toMs(axis.first);
    const double high = toMs(axis.end());
    const double span = std::max(high - low, leastSpanMs);
    const double middle = (low + high) / 2.0;
    const double half = span * (0.5 + airShare);
    return {middle - half, middle + half, firstPx, lastPx};
}

std::vector<HistogramBar> histogramBars(const stats::Histogram& histogram,
    const AxisMapping& msMapping, double top, double bottom, std::int64_t tallest)
{
    std::vector<HistogramBar> bars;
    for (std::size_t bin = 0; bin < histogram.counts.size(); ++bin) {
        const std::int64_t count = histogram.counts[bin];
        if (count == 0) {
            continue;
        }
        const double left = msMapping.toPx(toMs(histogram.axis.lowerEdge(bin)));
        const double right = msMapping.toPx(toMs(histogram.axis.lowerEdge(bin + 1)));
        const double height = std::max(lowestPx,
            (bottom - top) * static_cast<double>(count)
                / static_cast<double>(std::max<std::int64_t>(1, tallest)));
        // A hair of ground between bars where there is room for it.
        const double gap = right - left >= 4.0 ? 1.0 : 0.0;
        bars.push_back(
            {QRectF(left, bottom - height, std::max(thinnestPx, right - left - gap), height),
                count});
    }
    return bars;
}

std::int64_t tallestBin(std::span<const stats::Histogram> rows)
{
    std::int64_t tallest = 1;
    for (const stats::Histogram& row : rows) {
        for (const std::int64_t count : row.counts) {
            tallest = std::max(tallest, count);
        }
    }
    return tallest;
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/histogram.h"
#include "ui/plots/ruler.h"

#include <QRectF>

#include <span>
#include <vector>

namespace twinlamp::ui {

/// One bar and how many presses it stands for.
struct HistogramBar
{
    QRectF rect;
    std::int64_t count = 0;
};

/// Millisecond range that shows every bin with some air at both ends; 0 to 1 without bins.
/// The mapping's pixels are `firstPx` and `lastPx`.
[[nodiscard]] AxisMapping histogramMapping(
    const stats::HistogramAxis& axis, double firstPx, double lastPx);

/// Bars of the bins that hold something, standing on `bottom`; a bin of `tallest` presses reaches
/// `top`. No bar is thinner than a pixel, none is lower than two: a single press stays visible.
[[nodiscard]] std::vector<HistogramBar> histogramBars(const stats::Histogram& histogram,
    const AxisMapping& msMapping, double top, double bottom, std::int64_t tallest);

/// Largest count of any bin of any row; at least 1.
[[nodiscard]] std::int64_t tallestBin(std::span<const stats::Histogram> rows);

} // namespace twinlamp::ui

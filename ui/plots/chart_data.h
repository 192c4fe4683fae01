// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/histogram.h"

#include <QPointF>
#include <QString>

#include <cstdint>
#include <optional>
#include <vector>

namespace twinlamp::ui {

/// Latencies of one run in time order, and how many answers were lost.
struct ChartRun
{
    QString name;
    std::vector<double> latenciesMs;
    std::int64_t lost = 0;
};

/// A measured setting. The first of a chart is drawn filled, the second outlined and hatched.
struct ChartSeries
{
    QString letter;
    QString name;
    std::vector<ChartRun> runs;

    /// Latencies of all runs, and answers that were lost.
    [[nodiscard]] std::int64_t presses() const;
    [[nodiscard]] std::vector<double> latenciesMs() const;
    /// Share of all presses, lost ones included, that were answered within `ms`.
    [[nodiscard]] double shareWithin(double ms) const;
};

/// A latency distribution that was reckoned, in closed form and simulated.
struct ChartCurve
{
    QString letter;
    QString name;
    std::vector<QPointF> distribution; ///< ms, share; rising. Empty where there is no closed form.
    std::vector<double> binShares; ///< closed form, one for each bin of the axis
    std::vector<double> simulatedShares; ///< the same by simulation
};

/// All that a chart shows, on one millisecond axis.
struct ChartData
{
    stats::HistogramAxis axis; ///< no bins: nothing to show
    std::optional<double> limitMs; ///< late limit
    std::vector<ChartSeries> series; ///< two at most
    std::vector<ChartCurve> curves; ///< two at most

    [[nodiscard]] double binWidthMs() const;
};

/// Share of a series' presses in each bin of the axis.
[[nodiscard]] std::vector<double> binSharesOf(
    const ChartSeries& series, const stats::HistogramAxis& axis);

/// Axis of bins that all series share, as stats::sharedAxis chooses them.
[[nodiscard]] stats::HistogramAxis axisOf(const std::vector<ChartSeries>& series);

} // namespace twinlamp::ui

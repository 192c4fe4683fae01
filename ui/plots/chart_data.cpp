// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/plots/chart_data.h"

#include <algorithm>

namespace twinlamp::ui {

namespace {

std::vector<Latency> latenciesOf(const ChartSeries& series)
{
    std::vector<Latency> all;
    for (const double ms : series.latenciesMs()) {
        all.push_back(latencyFromMs(ms));
    }
    return all;
}

} // namespace

std::int64_t ChartSeries::presses() const
{
    std::int64_t count = 0;
    for (const ChartRun& run : runs) {
        count += static_cast<std::int64_t>(run.latenciesMs.size()) + run.lost;
    }
    return count;
}

std::vector<double> ChartSeries::latenciesMs() const
{
    std::vector<double> all;
    for (const ChartRun& run : runs) {
        all.insert(all.end(), run.latenciesMs.begin(), run.latenciesMs.end());
    }
    return all;
}

double ChartSeries::shareWithin(double ms) const
{
    const std::int64_t all = presses();
    if (all == 0) {
        return 0.0;
    }
    std::ptrdiff_t within = 0;
    for (const ChartRun& run : runs) {
        within += std::ranges::count_if(
            run.latenciesMs, [ms](double latency) { return latency <= ms; });
    }
    return static_cast<double>(within) / static_cast<double>(all);
}

double ChartData::binWidthMs() const { return toMs(axis.width); }

std::vector<double> binSharesOf(const ChartSeries& series, const stats::HistogramAxis& axis)
{
    const stats::Histogram histogram = stats::histogramOn(axis, latenciesOf(series));
    const auto all = static_cast<double>(std::max<std::int64_t>(1, series.presses()));
    std::vector<double> shares;
    shares.reserve(histogram.counts.size());
    for (const std::int64_t count : histogram.counts) {
        shares.push_back(static_cast<double>(count) / all);
    }
    return shares;
}

stats::HistogramAxis axisOf(const std::vector<ChartSeries>& series)
{
    std::vector<std::vector<Latency>> rows;
    for (const ChartSeries& one : series) {
        rows.push_back(latenciesOf(one));
    }
    return stats::sharedAxis(rows);
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
// Figures and chart of two reckoned links; their table is in link_table.cpp.
#include "ui/models/link_answer.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::ui {

namespace {

constexpr int curvePoints = 240;
constexpr std::size_t mostBins = 400;
constexpr std::size_t thinnedTo = 2000; ///< presses that decide how wide bins are without a setting

link::LinkModel modelOf(const WhatIfLink& link)
{
    link::LinkModel model = link.model;
    model.loss = lossOf(link);
    return model;
}

LinkReckoning reckon(const WhatIfLink& asked)
{
    LinkReckoning reckoning;
    const link::LinkModel model = modelOf(asked);
    reckoning.loss = model.loss;
    const auto figures = link::linkFigures(model);
    if (!figures) {
        reckoning.error = QString::fromStdString(figures.error().detail);
        return reckoning;
    }
    const auto closed = link::latencyDistribution(model, asked.parts);
    link::SimulationPlan plan;
    plan.burstFactor = asked.burstFactor;
    auto simulated = link::simulateLink(model, asked.parts, plan);
    if (!closed || !simulated) {
        reckoning.error
            = QString::fromStdString((closed ? simulated.error() : closed.error()).detail);
        return reckoning;
    }
    reckoning.figures = *figures;
    reckoning.closed = *closed;
    reckoning.simulated = std::move(*simulated);
    std::ranges::sort(reckoning.simulated.latenciesMs);
    return reckoning;
}

/// Every so many values of a sorted sample, so that about thinnedTo remain.
std::vector<Latency> thinned(const std::vector<double>& sorted)
{
    std::vector<Latency> few;
    const std::size_t step = std::max<std::size_t>(1, sorted.size() / thinnedTo);
    for (std::size_t i = step / 2; i < sorted.size(); i += step) {
        few.push_back(latencyFromMs(sorted[i]));
    }
    return few;
}

/// Bins as wide as the measured setting wants them, over all that is to be shown but for the
/// outermost thousandths of the simulations.
stats::HistogramAxis axisFor(
    const std::array<LinkReckoning, 2>& links, const std::optional<ChartSeries>& measured)
{
    std::vector<std::vector<Latency>> wide;
    std::vector<double> ends = measured ? measured->latenciesMs() : std::vector<double> {};
    std::vector<std::vector<Latency>> sampled;
    for (const LinkReckoning& link : links) {
        const std::vector<double>& all = link.simulated.latenciesMs;
        if (!all.empty()) {
            constexpr std::size_t thousand = 1000;
            ends.push_back(all[all.size() / thousand]);
            ends.push_back(all[all.size() - 1 - all.size() / thousand]);
            sampled.push_back(thinned(all));
        }
    }
    stats::HistogramAxis axis = measured ? axisOf({*measured}) : stats::HistogramAxis {};
    if (axis.bins == 0) {
        axis = stats::sharedAxis(sampled);
    }
    if (axis.bins == 0 || ends.empty()) {
        return {};
    }
    const auto [least, most] = std::ranges::minmax(ends);
    const auto width = static_cast<double>(axis.width.ns);
    const auto binOf = [width](double ms) {
        return static_cast<std::int64_t>(
            std::floor(static_cast<double>(latencyFromMs(ms).ns) / width));
    };
    axis.first = {binOf(least) * axis.width.ns};
    axis.bins = std::min(mostBins, static_cast<std::size_t>(binOf(most) - binOf(least) + 1));
    return axis;
}

ChartCurve curveOf(const LinkReckoning& link, const stats::HistogramAxis& axis)
{
    ChartCurve curve;
    const auto all = static_cast<double>(link.simulated.latenciesMs.size());
    std::vector<Latency> simulated;
    for (const double ms : link.simulated.latenciesMs) {
        simulated.push_back(latencyFromMs(ms));
    }
    const stats::Histogram histogram = stats::histogramOn(axis, simulated);
    for (const std::int64_t count : histogram.counts) {
        curve.simulatedShares.push_back(all > 0.0 ? static_cast<double>(count) / all : 0.0);
    }
    if (!link.closed) {
        return curve;
    }
    const auto share = [&link](Latency at) { return link.closed->shareUpTo(toMs(at)); };
    for (std::size_t bin = 0; bin < axis.bins; ++bin) {
        curve.binShares.push_back(share(axis.lowerEdge(bin + 1)) - share(axis.lowerEdge(bin)));
    }
    const double first = toMs(axis.first);
    const double step = (toMs(axis.end()) - first) / curvePoints;
    for (int i = 0; i <= curvePoints; ++i) {
        const double ms = first + step * i;
        curve.distribution.emplace_back(ms, link.closed->shareUpTo(ms));
    }
    return curve;
}

} // namespace

double lossOf(const WhatIfLink& asked)
{
    if (!asked.powerMw) {
        return asked.model.loss;
    }
    link::RadioLink radio = asked.radio;
    radio.transmission.powerDbm = link::dbmOf(*asked.powerMw);
    radio.channelWidthMhz = asked.model.channelWidthMhz.value_or(radio.channelWidthMhz);
    return link::lossOf(radio);
}

LinkAnswer reckonLinks(
    const std::array<WhatIfLink, 2>& links, const std::optional<ChartSeries>& measured)
{
    LinkAnswer answer;
    for (std::size_t i = 0; i < links.size(); ++i) {
        answer.links.at(i) = reckon(links.at(i));
    }
    ChartData& chart = answer.chart;
    chart.axis = axisFor(answer.links, measured);
    if (measured && measured->presses() > 0) {
        chart.series.push_back(*measured);
    }
    for (std::size_t i = 0; i < links.size(); ++i) {
        ChartCurve curve = curveOf(answer.links.at(i), chart.axis);
        curve.letter = QString::number(i + 1);
        chart.curves.push_back(std::move(curve));
    }
    return answer;
}

} // namespace twinlamp::ui

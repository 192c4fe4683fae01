// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/check_lamps.h"
#include "core/measure/rig_checks.h"
#include "core/rig/time_base.h"

#include <algorithm>
#include <spdlog/fmt/fmt.h>

namespace twinlamp::measure {

namespace {

constexpr double slowestFastMs = 2000.0; // one change a second: a period of 2 s

Result<rig::TimeBaseFit> rateOf(const CheckScan& scan, const LampTimes& lamp,
    const std::optional<double>& labelledHz, const LampPeriod& period)
{
    std::vector<rig::TimeBaseEdge> edges;
    for (const Switching& one : lamp.switchings) {
        edges.push_back({one.edge.edge, one.onset});
    }
    return rig::timeBaseRate(
        {edges, scan.clip.captureRate.hz(), labelledHz, period.ms, period.halfWidthMs});
}

void noteTimeBase(const rig::TimeBaseFit& fit, const LampTimes& lamp, const LampPeriod& period,
    CheckResult& result)
{
    const auto bounded = std::ranges::count_if(
        lamp.switchings, [](const Switching& s) { return s.onset.isBounded; });
    if (2 * static_cast<std::size_t>(bounded) > lamp.switchings.size()) {
        result.notes.push_back({"check-onsets-bounded", {}});
        addFlag(result.flags, Flag::OnsetInGap);
    }
    if (lamp.isClipped) {
        addFlag(result.flags, Flag::ReferenceClipped);
    }
    if (period.ms < slowestFastMs) {
        result.notes.push_back({"lamp-driven-fast", {fmt::format("{:g}", period.ms)}});
    }
    if (fit.missing > 0) {
        result.notes.push_back({"cycles-missing", {std::to_string(fit.missing)}});
    }
    if (static_cast<std::size_t>(fit.edges) < fewCheckEdges) {
        result.notes.push_back({"check-few-edges", {std::to_string(fit.edges)}});
    }
}

/// Rate that somebody vouches for: the tester, or the file's tag.
std::optional<double> labelOf(const CheckScan& scan, const MeasureOptions& options, bool assumed)
{
    if (options.captureRate) {
        return options.captureRate->hz();
    }
    return assumed ? std::nullopt : std::optional(scan.clip.captureRate.hz());
}

JobResult<CheckedClip> timeBaseOf(
    const CheckScan& scan, const MeasureOptions& options, const LampPeriod& period, bool assumed)
{
    const auto labelled = labelOf(scan, options, assumed);
    const double lineTimeUs = options.lineTimeUs.value_or(0.0);
    // With the rate unknown a given exposure cannot be put into frames yet: estimate it first.
    Exposure exposure = exposureOf(scan, labelled ? options.exposureMs : std::nullopt);
    LampTimes lamp = timesOf(scan, scan.lamps.front(), exposure, lineTimeUs, false);
    if (lamp.switchings.empty()) {
        return noPress(scan);
    }
    auto fit = rateOf(scan, lamp, labelled, period);
    if (fit && !labelled && options.exposureMs) {
        const double assumedHz = scan.clip.captureRate.hz();
        exposure = exposureOf(scan, *options.exposureMs * fit->captureRateHz / assumedHz);
        lamp = timesOf(scan, scan.lamps.front(), exposure, lineTimeUs, false);
        fit = rateOf(scan, lamp, labelled, period);
    }
    if (!fit) {
        return named(fit.error(), scan);
    }
    CheckedClip checked = startOf(scan);
    checked.clip.lineTimeUs = options.lineTimeUs;
    checked.result.edges = fit->edges;
    checked.result.figures = TimeBaseFigures {fit->captureRateHz, fit->halfWidthHz, labelled,
        period.ms, period.halfWidthMs, fit->cycles, fit->scatterMs};
    if (!labelled) {
        exposure.ms *= scan.clip.captureRate.hz() / fit->captureRateHz; // back to real time
        checked.clip.captureRate = frameRateFromHz(fit->captureRateHz);
        checked.clip.captureRateSource = RateSource::TimeBase;
        checked.result.notes.push_back({"rate-unlabelled", {}});
    }
    noteExposure(exposure, checked);
    noteTimeBase(*fit, lamp, period, checked.result);
    return checked;
}

} // namespace

JobResult<CheckedClip> timeBaseCheck(const std::filesystem::path& clip,
    const MeasureOptions& options, const LampPeriod& period, const JobControl& control)
{
    constexpr std::size_t lamps = 1;
    auto scanned = scanForCheck(clip, options, lamps, true, control);
    if (!scanned.hasValue()) {
        return scanned.isCancelled() ? JobResult<CheckedClip>(Cancelled {})
                                     : JobResult<CheckedClip>(scanned.error());
    }
    return timeBaseOf(scanned.value(), options, period, scanned.value().rateAssumed);
}

} // namespace twinlamp::measure

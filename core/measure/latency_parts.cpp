// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/latency_parts.h"

#include "core/base/coverage.h"

#include <cmath>

namespace twinlamp::measure {

namespace {

// Crystal clocks of cameras keep within 100 parts in a million: rectangular, common practice, no
// source.
constexpr double clockTolerance = 1e-4;
// What codec and camera do to the light of a region beyond its visible noise, as shares of the
// frame interval: the same for all presses of a clip, and anew for each. From the misses of 98
// clips of an independent simulator (three codecs, 2100 edges): with these two, 95.4 % of the
// truths lie inside.
constexpr double commonShareOfFrame = 0.015;
constexpr double ownShareOfFrame = 0.008;
// JCGM 100:2008, G.4.2: 1 / (2 r^2) for a relative reliability r of a tenth.
constexpr double judgedDegrees = 50.0;

// How far the capture rate may be off, relative, standard.
double rateDoubt(const MeasureOptions& options)
{
    if (options.captureRate && options.captureRateUncertaintyHz) {
        return *options.captureRateUncertaintyHz / coverageFactor95 / options.captureRate->hz();
    }
    return clockTolerance / std::sqrt(3.0);
}

} // namespace

std::vector<UncertaintyPart> latencyParts(
    const LatencyDoubts& doubts, const MeasureOptions& options)
{
    std::vector<UncertaintyPart> parts;
    const auto add = [&](UncertaintySource source, double standardMs, bool isCommon,
                         std::optional<double> degrees = std::nullopt) {
        if (standardMs != 0.0) {
            parts.push_back({source, std::abs(standardMs), isCommon, degrees});
        }
    };
    add(UncertaintySource::ReferenceOnset, doubts.referenceMs, false);
    add(UncertaintySource::FirstLight,
        std::hypot(doubts.firstLightMs, ownShareOfFrame * doubts.frameIntervalMs), false,
        doubts.firstLightDegrees);
    // The judged share stands for most of it, so its degrees of freedom do.
    add(UncertaintySource::CameraResponse,
        std::hypot(doubts.shapeMs, commonShareOfFrame * doubts.frameIntervalMs), true,
        doubts.shapeMs > commonShareOfFrame * doubts.frameIntervalMs && doubts.shapeDegrees
            ? doubts.shapeDegrees
            : judgedDegrees);
    add(UncertaintySource::Exposure, doubts.exposureMs, true, doubts.exposureDegrees);
    add(UncertaintySource::LineTime, doubts.lineTimeMs, true, doubts.lineTimeDegrees);
    add(UncertaintySource::LampResponse, doubts.lampResponseMs, true);
    add(UncertaintySource::CaptureRate, rateDoubt(options) * doubts.latencyMs, true);
    add(UncertaintySource::ZeroCorrection, options.zeroUncertaintyMs / coverageFactor95, true);
    return parts;
}

} // namespace twinlamp::measure

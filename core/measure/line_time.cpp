// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/line_time.h"

#include "core/measure/lamp_lines.h"
#include "core/rig/line_time.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::measure {

namespace {

constexpr double usPerMs = 1e3;
// A figure so many times its doubt is no chance: with a handful of switchings one clip in a hundred
// that has no line time would still be given one.
constexpr double standsOut = 4.0;

double anyCameraUs(const AnalysisInput& input)
{
    return input.storedRows > 0
        ? usPerMs * input.frameIntervalMs / input.storedRows / std::sqrt(3.0)
        : 0.0;
}

// A zero correction without a line time was made between the same rows and holds their skew.
bool hasZeroCorrection(const MeasureOptions& options)
{
    return options.zeroMs != 0.0 || options.zeroUncertaintyMs != 0.0 || options.fromRig.zero;
}

bool isClean(const AnalysisInput& input, const onset::CoarseEdge& edge)
{
    constexpr std::size_t margin = 3;
    const bool nearGap = std::ranges::any_of(input.framesAfterGaps, [&](std::size_t after) {
        return edge.frame + margin >= after && edge.frame <= after + margin;
    });
    return !nearGap && edge.frame >= margin && edge.frame + margin < input.startMs.size();
}

std::optional<rig::LineTimeFit> fromRows(
    const AnalysisInput& input, const onset::TimedTrace& reference, const LampOnsets& lamp)
{
    if (!input.referenceLines || input.referenceLines->rows < 3) {
        return std::nullopt;
    }
    const auto lines = linesApart(
        input.referenceStored, input.referenceLines->rows, input.referenceLines->light);
    const Exposure exposure {reference.camera.exposureMs, 0.0, ExposureSource::Given};
    auto switchings = lineOnsets(reference, lines, lamp, exposure);
    for (std::size_t i = 0; i < switchings.size(); ++i) {
        if (lamp.onsets[i].clipped || !isClean(input, lamp.onsets[i].edge)) {
            switchings[i].clear();
        }
    }
    return rig::fitLineTime(switchings);
}

} // namespace

LineTimeFigure lineTimeFigure(const AnalysisInput& input, const MeasureOptions& options,
    const onset::TimedTrace& reference, const LampOnsets& lamp)
{
    if (options.lineTimeUs) {
        return {*options.lineTimeUs, 0.0, std::nullopt, LineTimeSource::Given};
    }
    if (hasZeroCorrection(options)) {
        return {};
    }
    const double widest = anyCameraUs(input);
    const auto fit = fromRows(input, reference, lamp);
    if (!fit) {
        return {0.0, widest, std::nullopt, LineTimeSource::Unknown};
    }
    const double standard = std::hypot(fit->standardUs, rowMixing * fit->lineTimeUs);
    if (std::abs(fit->lineTimeUs) > standsOut * fit->standardUs && standard < widest) {
        return {fit->lineTimeUs, standard, fit->degreesOfFreedom, LineTimeSource::Estimated};
    }
    const double doubt = std::hypot(fit->standardUs, fit->lineTimeUs);
    return doubt < widest
        ? LineTimeFigure {0.0, doubt, fit->degreesOfFreedom, LineTimeSource::Unknown}
        : LineTimeFigure {0.0, widest, std::nullopt, LineTimeSource::Unknown};
}

double rowsBetween(RectPx a, RectPx b)
{
    return std::abs(a.y + 0.5 * a.height - b.y - 0.5 * b.height);
}

} // namespace twinlamp::measure

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/lamp_lines.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::measure {

using onset::ReferenceOnset;
using onset::TimedTrace;
using rig::CheckOnset;

namespace {

std::optional<CheckOnset> checkOnset(const std::optional<ReferenceOnset>& timed,
    const std::optional<ReferenceOnset>& underLonger, bool clipped)
{
    if (!timed) {
        return std::nullopt;
    }
    return CheckOnset {timed->timeMs, timed->standardMs,
        underLonger ? underLonger->timeMs - timed->timeMs : 0.0, timed->inGap || clipped};
}

} // namespace

std::vector<std::optional<CheckOnset>> checkOnsets(
    const TimedTrace& trace, const LampOnsets& lamp, const Exposure& exposure)
{
    const auto timed = timeAgain(trace, lamp);
    TimedTrace longer = trace;
    const double frame = trace.camera.frameIntervalMs;
    // An exposure cannot outlast its frame: where it fills it, the other way tells as much.
    const double step
        = exposure.ms + exposure.standardMs <= frame ? exposure.standardMs : -exposure.standardMs;
    longer.camera.exposureMs = std::clamp(exposure.ms + step, 0.01 * frame, frame);
    const auto again
        = step != 0.0 ? timeAgain(longer, lamp) : std::vector<std::optional<ReferenceOnset>>();
    std::vector<std::optional<CheckOnset>> onsets;
    for (std::size_t i = 0; i < timed.size(); ++i) {
        auto one
            = checkOnset(timed[i], again.empty() ? std::nullopt : again[i], lamp.onsets[i].clipped);
        if (one && step < 0.0) {
            one->exposureShiftMs = -one->exposureShiftMs;
        }
        onsets.push_back(one);
    }
    return onsets;
}

std::vector<rig::LampLines> lineOnsets(const TimedTrace& like, std::span<const LampLine> lines,
    const LampOnsets& lamp, const Exposure& exposure)
{
    std::vector<rig::LampLines> onsets(lamp.onsets.size());
    TimedTrace trace = like;
    trace.camera.lineTimeMs = 0.0;
    trace.rows = {};
    for (const LampLine& line : linesOfTheLamp(lines, lamp.search.edges)) {
        trace.light = line.light;
        const auto ofLine = checkOnsets(trace, lamp, exposure);
        for (std::size_t i = 0; i < ofLine.size(); ++i) {
            if (ofLine[i]) {
                onsets[i].push_back({line.row, *ofLine[i]});
            }
        }
    }
    return onsets;
}

} // namespace twinlamp::measure

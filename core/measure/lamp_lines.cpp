// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/lamp_lines.h"

#include "core/trace/light_meter.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace twinlamp::measure {

using onset::ReferenceOnset;
using onset::TimedTrace;
using rig::CheckOnset;

namespace {

// A line that steps by less than this share of the strongest one is glow, or lit by its neighbours.
constexpr double weakestLine = 0.5;

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

std::vector<double> lineRows(RectPx stored, int lines)
{
    std::vector<double> rows;
    for (int line = 0; line < lines; ++line) {
        const RectPx cell = trace::cellOf({stored, 1, lines, 0}, 0, line);
        rows.push_back(cell.y + 0.5 * (cell.height - 1));
    }
    return rows;
}

std::vector<LampLine> linesApart(RectPx stored, int lines, std::span<const float> cells)
{
    std::vector<LampLine> apart;
    for (const double row : lineRows(stored, lines)) {
        apart.push_back({row, {}});
    }
    for (std::size_t i = 0; i < cells.size(); ++i) {
        apart[i % apart.size()].light.push_back(cells[i]);
    }
    return apart;
}

float rangeOf(const LampLine& line)
{
    float low = std::numeric_limits<float>::infinity();
    float high = -low;
    for (const float light : line.light) {
        low = std::fmin(low, light); // NaN stands for a missing frame
        high = std::fmax(high, light);
    }
    return std::fmax(0.0F, high - low);
}

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
    float strongest = 0.0F;
    for (const LampLine& line : lines) {
        strongest = std::max(strongest, rangeOf(line));
    }
    TimedTrace trace = like;
    trace.camera.lineTimeMs = 0.0;
    trace.rows = {};
    for (const LampLine& line : lines) {
        if (static_cast<double>(rangeOf(line)) < weakestLine * static_cast<double>(strongest)) {
            continue;
        }
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

double middleRow(std::span<const LampLine> lines, RectPx stored)
{
    double weight = 0.0;
    double rows = 0.0;
    for (const LampLine& line : lines) {
        const auto step = static_cast<double>(rangeOf(line));
        weight += step;
        rows += step * line.row;
    }
    return weight > 0.0 ? rows / weight : stored.y + 0.5 * (stored.height - 1);
}

} // namespace twinlamp::measure

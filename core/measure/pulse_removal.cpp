// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/pulse_removal.h"

#include "core/trace/noise.h"
#include "core/trace/pulse_rhythm.h"
#include "core/trace/slow_beat.h"

#include <cmath>
#include <limits>

namespace twinlamp::measure {

namespace {

std::vector<double> regionTimes(const onset::TimedTrace& trace)
{
    std::vector<double> times(trace.startMs.begin(), trace.startMs.end());
    for (double& time : times) {
        time += trace.rows.meanRowMs();
    }
    return times;
}

// Pulses timed one by one on the lamp are the panel's as well, over the cell's own floor; those in
// a rhythm are folded anew, for rows see it at their own phase.
std::optional<trace::PulseLight> pulsesOfCell(const std::vector<float>& cell,
    const std::vector<double>& times, const rig::CameraTiming& camera,
    const trace::PulseLight& lamp)
{
    if (lamp.isSlowBeat) {
        return lamp;
    }
    if (lamp.single.empty()) {
        return trace::foldPulses(
            cell, times, lamp.periodMs, camera.frameIntervalMs, camera.exposureMs);
    }
    std::vector<double> dark;
    for (std::size_t k = 0; k < cell.size(); ++k) {
        if (lamp.shareAt(times[k]) == 0.0) {
            dark.push_back(static_cast<double>(cell[k]));
        }
    }
    trace::PulseLight pulses = lamp;
    pulses.floor = trace::medianOf(dark);
    return pulses;
}

} // namespace

std::optional<PulseFree> freeFromPulses(const onset::TimedTrace& trace)
{
    const std::vector<double> times = regionTimes(trace);
    auto pulses = trace::findPulses(
        trace.light, times, trace.camera.frameIntervalMs, trace.camera.exposureMs);
    if (!pulses) {
        return std::nullopt;
    }
    PulseFree free {std::move(*pulses), {}};
    free.light = withoutPulses(trace.light, times, free.pulses);
    return free;
}

std::optional<PulseFree> freeFromSlowBeat(const onset::TimedTrace& goggle, const LampOnsets& lamp)
{
    // By then the panel has followed a link of usual latency.
    constexpr double settledAfterMs = 90.0;
    const auto settled = static_cast<std::int64_t>(settledAfterMs / goggle.camera.frameIntervalMs);
    std::vector<FrameRange> holds;
    for (std::size_t i = 0; i < lamp.onsets.size(); ++i) {
        const auto from = static_cast<std::int64_t>(lamp.onsets[i].edge.frame) + settled;
        const auto to = static_cast<std::int64_t>(
            i + 1 < lamp.onsets.size() ? lamp.onsets[i + 1].edge.frame : goggle.frameCount());
        if (from < to) {
            holds.push_back({FrameIndex {from}, FrameIndex {to}});
        }
    }
    const std::vector<double> times = regionTimes(goggle);
    // A rhythm of which too few frames keep their level to be folded is fitted all the same.
    const auto rhythm = trace::pulseRhythmMs(goggle.light, times, goggle.camera.frameIntervalMs);
    auto pulses = rhythm ? trace::findSlowBeat(goggle.light, times, holds, rhythm) : std::nullopt;
    if (!pulses) {
        pulses = trace::findSlowBeat(goggle.light, times, holds);
    }
    if (!pulses) {
        return std::nullopt;
    }
    PulseFree free {std::move(*pulses), {}};
    free.light = withoutPulses(goggle.light, times, free.pulses);
    return free;
}

std::vector<float> cellsFreeFromPulses(
    const panel::CellTraces& cells, const onset::TimedTrace& goggle, const PulseFree& lamp)
{
    const std::vector<double> times = regionTimes(goggle);
    std::vector<float> light(cells.light.begin(), cells.light.end());
    const std::size_t count = cells.cellCount();
    std::vector<float> one(cells.frameCount());
    for (std::size_t c = 0; c < count; ++c) {
        for (std::size_t k = 0; k < one.size(); ++k) {
            one[k] = cells.at(k, c);
        }
        if (const auto pulses = pulsesOfCell(one, times, goggle.camera, lamp.pulses)) {
            one = withoutPulses(one, times, *pulses);
        }
        for (std::size_t k = 0; k < one.size(); ++k) {
            light[k * count + c]
                = std::isfinite(lamp.light[k]) ? one[k] : std::numeric_limits<float>::quiet_NaN();
        }
    }
    return light;
}

void putPulsesBack(
    const onset::TimedTrace& trace, const trace::PulseLight& pulses, ModelStretch& model)
{
    for (std::size_t i = 0; i < model.light.size(); ++i) {
        const auto k = static_cast<std::size_t>(model.firstFrame) + i;
        const double share = pulses.shareAt(trace.startMs[k] + trace.rows.meanRowMs());
        if (std::isfinite(share)) {
            const auto light = static_cast<double>(model.light[i]);
            model.light[i] = static_cast<float>(pulses.floor + (light - pulses.floor) * share);
        }
    }
}

} // namespace twinlamp::measure

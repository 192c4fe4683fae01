// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/core/report/measurement_sample.h"

#include <array>

namespace twinlamp::report::samples {

namespace {

Press press(int index, double latencyMs)
{
    Press made;
    made.index = index;
    made.edge = index % 2 == 0 ? Edge::On : Edge::Off;
    made.reference = realTimeFromMs(412.3046875 + 371.0 * index);
    made.latency = latencyFromMs(latencyMs);
    made.firstLight = *made.reference + *made.latency;
    made.halfLight = *made.firstLight + latencyFromMs(0.85);
    made.settled = *made.firstLight + latencyFromMs(2.125);
    made.sweepStart = *made.firstLight - latencyFromMs(4.5);
    made.fullFrame = *made.firstLight + latencyFromMs(6.75);
    made.fullFrameLatency = *made.latency + latencyFromMs(6.75);
    made.uncertainty = latencyFromMs(0.083);
    made.parts = {{UncertaintySource::ReferenceOnset, 0.021, false},
        {UncertaintySource::FirstLight, 0.036, false},
        {UncertaintySource::CaptureRate, 0.002, true}};
    return made;
}

void loseAnswer(Press& press)
{
    press.firstLight.reset();
    press.halfLight.reset();
    press.settled.reset();
    press.sweepStart.reset();
    press.fullFrame.reset();
    press.latency.reset();
    press.fullFrameLatency.reset();
    press.uncertainty.reset();
    press.flags = {Flag::NoResponse};
}

} // namespace

ClipResult hangarClip()
{
    ClipResult result;
    result.clip = {"clips/hangar, \"narrow\".mp4",
        "5f2d3c1b0a99887766554433221100ffeeddccbbaa99887766554433221100ff", 6240, 1280, 720, 0,
        30.0, FrameRate {960, 1}, RateSource::Given, 0, 0.5, ExposureSource::Estimated,
        std::nullopt};
    result.regions = {
        {212, 340, 28, 30}, {744, 402, 36, 33}, RectPx {602, 248, 420, 316}, RegionSource::Located};
    result.scan = {ScanMode::Full, 6240, 7.421, 100.0};
    constexpr std::array latencies {31.4, 33.15, 37.82, 35.3, 29.96, 38.004, 40.125, 30.6875, 34.2,
        36.5, 33.033, 32.9, 30.5, 39.4, 41.0, 31.75};
    for (std::size_t i = 0; i < latencies.size(); ++i) {
        result.presses.push_back(press(static_cast<int>(i), latencies[i]));
    }
    loseAnswer(result.presses[5]);
    result.presses[8].accepted = false;
    result.presses[8].flags = {Flag::AmbiguousPairing};
    result.presses[10].flags = {Flag::ReferenceClipped, Flag::ExposureUnknown};
    result.presses[10].uncertainty = latencyFromMs(0.62);
    result.presses[12].fullFrame.reset();
    result.presses[12].fullFrameLatency.reset();
    result.presses[12].flags = {Flag::PanelNoFigure};
    PanelTiming timing;
    timing.scan = latencyFromMs(10.8);
    timing.direction = SweepDirection::Down;
    timing.newFrameInterval = latencyFromMs(16.6667);
    timing.newFrameUncertaintyMs = 0.031;
    timing.signs = {"sweep"};
    result.panelTiming = timing;
    result.notes = {{"exposure-estimated", {"0.50"}}, {"no-zero-check", {}}};
    return result;
}

ClipResult clipWithoutPresses()
{
    ClipResult result = hangarClip();
    result.presses.clear();
    result.panelTiming.reset();
    result.regions.panel.reset();
    result.notes.clear();
    result.clip.exposureMs.reset();
    result.clip.exposureSource = ExposureSource::Unknown;
    return result;
}

} // namespace twinlamp::report::samples

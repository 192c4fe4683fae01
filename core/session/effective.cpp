// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/effective.h"

#include "core/base/contracts.h"
#include "core/base/coverage.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::session {

namespace {

/// Half width of 95 % of a normal distribution, in standard deviations.

std::optional<RealTime>& timeOf(Press& press, Mark mark)
{
    switch (mark) {
    case Mark::Onset:
        return press.reference;
    case Mark::FirstLight:
        return press.firstLight;
    case Mark::HalfLight:
        return press.halfLight;
    case Mark::Settled:
        return press.settled;
    case Mark::SweepStart:
        return press.sweepStart;
    case Mark::FullFrame:
        break;
    }
    return press.fullFrame;
}

/// Both ends of a latency before and after the corrections.
struct Ends
{
    std::optional<RealTime> start;
    std::optional<RealTime> end;
};

std::optional<Latency> movedLatency(
    std::optional<Latency> measured, const Ends& before, const Ends& after, Latency zero)
{
    if (!after.start || !after.end) {
        return std::nullopt;
    }
    if (measured && before.start && before.end) {
        return *measured + ((*after.end - *before.end) - (*after.start - *before.start));
    }
    return (*after.end - *after.start) - zero;
}

void addHandParts(Press& press, const PressCorrection& correction, double frameIntervalMs)
{
    for (const MarkCorrection& moved : correction.marks) {
        if (moved.mark == Mark::Onset || moved.mark == Mark::FirstLight) {
            press.parts.push_back(
                {UncertaintySource::HandCorrection, frameIntervalMs / std::sqrt(12.0), false});
        }
    }
    double variance = 0.0;
    for (const UncertaintyPart& part : press.parts) {
        variance += part.standardMs * part.standardMs;
    }
    press.uncertainty = latencyFromMs(coverageFactor95 * std::sqrt(variance));
}

bool isMoved(const PressCorrection& correction, Mark mark)
{
    return std::ranges::find(correction.marks, mark, &MarkCorrection::mark)
        != correction.marks.end();
}

void applyMarks(Press& press, const PressCorrection& correction, const ClipMeasurement& measurement)
{
    const Press measured = press;
    for (const MarkCorrection& moved : correction.marks) {
        timeOf(press, moved.mark) = moved.time;
    }
    const Latency zero = latencyFromMs(measurement.options.zeroMs);
    const bool onset = isMoved(correction, Mark::Onset);
    if (onset || isMoved(correction, Mark::FirstLight)) {
        press.latency = movedLatency(measured.latency, {measured.reference, measured.firstLight},
            {press.reference, press.firstLight}, zero);
        if (press.latency) {
            addHandParts(press, correction, measurement.clip.captureRate.intervalMs());
            std::erase(press.flags, Flag::NoResponse);
        }
    }
    if (onset || isMoved(correction, Mark::FullFrame)) {
        press.fullFrameLatency = movedLatency(measured.fullFrameLatency,
            {measured.reference, measured.fullFrame}, {press.reference, press.fullFrame}, zero);
    }
    addFlag(press.flags, Flag::CorrectedByHand);
}

EffectivePress effectivePress(
    const Press& measured, const PressCorrection* correction, const ClipMeasurement& measurement)
{
    EffectivePress effective {measured, measured, false, std::nullopt};
    if (correction == nullptr) {
        return effective;
    }
    if (!correction->marks.empty()) {
        effective.markMoved = true;
        applyMarks(effective.press, *correction, measurement);
    }
    effective.choice = correction->choice;
    if (correction->choice) {
        effective.press.accepted = correction->choice->accepted;
    }
    return effective;
}

const PressCorrection* correctionOf(const Clip& clip, int press)
{
    const auto found = std::ranges::find(clip.corrections, press, &PressCorrection::press);
    return found == clip.corrections.end() ? nullptr : &*found;
}

/// The press of that index in the clip's present measurement; null without one.
const Press* measuredPress(const Clip& clip, int index)
{
    const auto found = std::ranges::find(clip.measurement->presses, index, &Press::index);
    return found == clip.measurement->presses.end() ? nullptr : &*found;
}

} // namespace

std::vector<EffectivePress> effectivePresses(const Clip& clip)
{
    std::vector<EffectivePress> effective;
    if (!clip.measurement) {
        return effective;
    }
    effective.reserve(clip.measurement->presses.size());
    for (const Press& press : clip.measurement->presses) {
        effective.push_back(
            effectivePress(press, correctionOf(clip, press.index), *clip.measurement));
    }
    return effective;
}

std::vector<Press> countedPresses(const Clip& clip)
{
    std::vector<Press> presses;
    for (EffectivePress& effective : effectivePresses(clip)) {
        presses.push_back(std::move(effective.press));
    }
    return presses;
}

ClipResult effectiveResult(const Clip& clip)
{
    TL_EXPECTS(clip.measurement);
    const ClipMeasurement& measured = *clip.measurement;
    return {measured.clip, measured.regions, measured.scan, countedPresses(clip),
        measured.panelTiming, measured.notes, {}};
}

const Press* counterpartOf(const Press& old, const ClipMeasurement& measurement)
{
    constexpr double toleranceFrames = 2.0;
    const auto toleranceNs
        = latencyFromMs(toleranceFrames * measurement.clip.captureRate.intervalMs()).ns;
    const Press* best = nullptr;
    std::int64_t bestNs = toleranceNs + 1;
    for (const Press& press : measurement.presses) {
        if (press.edge != old.edge || !press.reference || !old.reference) {
            continue;
        }
        const std::int64_t away = std::abs((*press.reference - *old.reference).ns);
        if (away < bestNs) {
            best = &press;
            bestNs = away;
        }
    }
    return best;
}

CarriedCorrections carriedCorrections(const Clip& clip, const ClipMeasurement& newMeasurement)
{
    CarriedCorrections carried;
    if (!clip.measurement) {
        return carried;
    }
    for (const PressCorrection& correction : clip.corrections) {
        const Press* old = measuredPress(clip, correction.press);
        const Press* press = old == nullptr ? nullptr : counterpartOf(*old, newMeasurement);
        const bool taken = press != nullptr
            && std::ranges::find(carried.corrections, press->index, &PressCorrection::press)
                != carried.corrections.end();
        if (press == nullptr || taken) {
            ++carried.dropped;
            continue;
        }
        PressCorrection moved = correction;
        moved.press = press->index;
        carried.corrections.push_back(std::move(moved));
    }
    std::ranges::sort(carried.corrections, {}, &PressCorrection::press);
    return carried;
}

std::vector<PressReadout> carriedReadouts(const Clip& clip, const ClipMeasurement& newMeasurement)
{
    std::vector<PressReadout> carried;
    for (const PressReadout& readout : clip.readouts) {
        const Press* old = clip.measurement ? measuredPress(clip, readout.press) : nullptr;
        const Press* press = old == nullptr ? nullptr : counterpartOf(*old, newMeasurement);
        const bool taken = press != nullptr
            && std::ranges::find(carried, press->index, &PressReadout::press) != carried.end();
        if (press != nullptr && !taken) {
            carried.push_back({press->index, readout.latencyMs});
        }
    }
    std::ranges::sort(carried, {}, &PressReadout::press);
    return carried;
}

} // namespace twinlamp::session

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/rig_values.h"

namespace twinlamp::session {

using measure::MeasureOptions;

namespace {

void takeTimeBase(const Session& session, RigId rig, MeasureOptions& options)
{
    const RigCheck* check = newestCheck(session, rig, CheckKind::TimeBase);
    if (check == nullptr || options.captureRate) {
        return;
    }
    const auto& figures = std::get<TimeBaseFigures>(check->result.figures);
    options.captureRate = frameRateFromHz(figures.captureRateHz);
    options.captureRateSource = RateSource::TimeBase;
    options.captureRateUncertaintyHz = figures.uncertaintyHz;
    options.fromRig.captureRate = true;
    options.fromRig.timeBaseCheckDate = check->date;
}

/// @return what is wrong with the line time asked for
std::optional<Error> takeZero(const Session& session, const Rig& rig, MeasureOptions& options)
{
    const RigCheck* check = newestCheck(session, rig.id, CheckKind::Zero);
    if (check == nullptr || options.zeroMs != 0.0 || options.zeroUncertaintyMs != 0.0) {
        return std::nullopt;
    }
    const auto& figures = std::get<ZeroFigures>(check->result.figures);
    const bool skewInside = hasFlag(check->result.flags, Flag::RowSkewInside);
    if (skewInside && (options.lineTimeUs || rig.lineTimeUs)) {
        return Error {Stage::Session, Cause::InvalidValue,
            "the zero check of " + check->date + " in rig \"" + rig.name
                + "\" was made without a line time, so its difference holds the row skew "
                  "(row-skew-inside) and would be corrected twice; leave the line time out, or "
                  "make "
                  "the zero check again with it"};
    }
    options.zeroMs = figures.differenceMs;
    options.zeroUncertaintyMs = figures.uncertaintyMs;
    options.fromRig.zero = true;
    options.fromRig.zeroCheckDate = check->date;
    if (figures.lineTimeUs && !options.lineTimeUs) {
        options.lineTimeUs = figures.lineTimeUs;
        options.fromRig.lineTime = true;
    }
    return std::nullopt;
}

void takeTyped(const Rig& rig, MeasureOptions& options)
{
    if (!options.captureRate && rig.captureRate) {
        options.captureRate = rig.captureRate;
        options.captureRateSource = RateSource::Given;
        options.fromRig.captureRate = true;
    }
    if (!options.exposureMs && rig.exposureMs) {
        options.exposureMs = rig.exposureMs;
        options.fromRig.exposure = true;
    }
    if (!options.lineTimeUs && rig.lineTimeUs) {
        options.lineTimeUs = rig.lineTimeUs;
        options.fromRig.lineTime = true;
    }
    if (options.zeroMs == 0.0 && options.zeroUncertaintyMs == 0.0 && rig.zeroMs) {
        options.zeroMs = *rig.zeroMs;
        options.zeroUncertaintyMs = rig.zeroUncertaintyMs.value_or(0.0);
        options.fromRig.zero = true;
    }
    if (!options.shortestHoldMs && rig.shortestHold) {
        // Divided: what was typed in ms comes out as it was typed.
        options.shortestHoldMs = static_cast<double>(rig.shortestHold->ns) / 1e6;
        options.fromRig.shortestHold = true;
    }
}

/// Whether a measurement with these options would rest on the same. The shortest hold has no say in
/// figures from every frame.
bool restsOnTheSame(const ClipMeasurement& measurement, MeasureOptions options)
{
    if (measurement.scan.mode == ScanMode::Full) {
        options.shortestHoldMs = measurement.options.shortestHoldMs;
        options.fromRig.shortestHold = measurement.options.fromRig.shortestHold;
    }
    return options == measurement.options;
}

} // namespace

MeasureOptions withRigForCheck(
    const Session& session, RigId rig, CheckKind kind, MeasureOptions asked)
{
    MeasureOptions options = withoutRig(std::move(asked));
    const Rig* found = find(session, rig);
    if (found == nullptr) {
        return options;
    }
    if (kind == CheckKind::Zero) {
        takeTimeBase(session, rig, options);
    }
    takeTyped(*found, options);
    options.zeroMs = 0.0;
    options.zeroUncertaintyMs = 0.0;
    options.fromRig.zero = false;
    return options;
}

Result<MeasureOptions> withRig(const Session& session, RigId rig, MeasureOptions asked)
{
    MeasureOptions options = withoutRig(std::move(asked));
    const Rig* found = find(session, rig);
    if (found == nullptr) {
        return options;
    }
    takeTimeBase(session, rig, options);
    if (auto problem = takeZero(session, *found, options)) {
        return tl::unexpected<Error>(std::move(*problem));
    }
    takeTyped(*found, options);
    return options;
}

MeasureOptions withoutRig(MeasureOptions options)
{
    if (options.fromRig.captureRate) {
        options.captureRate.reset();
        options.captureRateSource = RateSource::Given;
        options.captureRateUncertaintyHz.reset();
    }
    if (options.fromRig.exposure) {
        options.exposureMs.reset();
    }
    if (options.fromRig.lineTime) {
        options.lineTimeUs.reset();
    }
    if (options.fromRig.zero) {
        options.zeroMs = 0.0;
        options.zeroUncertaintyMs = 0.0;
    }
    if (options.fromRig.shortestHold) {
        options.shortestHoldMs.reset();
    }
    options.fromRig = {};
    return options;
}

bool isOutOfDate(const Session& session, const Clip& clip)
{
    if (!clip.measurement) {
        return false;
    }
    const Result<MeasureOptions> today = withRig(session, clip.rig, clip.options);
    return !today || !restsOnTheSame(*clip.measurement, *today);
}

} // namespace twinlamp::session

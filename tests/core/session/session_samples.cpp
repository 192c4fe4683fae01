// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/core/session/session_samples.h"

#include <gtest/gtest.h>

namespace twinlamp::session::samples {

namespace {

int drawInt(Random& random, int first, int last)
{
    return std::uniform_int_distribution<int>(first, last)(random);
}

double drawReal(Random& random, double first, double last)
{
    return std::uniform_real_distribution<double>(first, last)(random);
}

template<typename T> std::optional<T> sometimes(Random& random, T value)
{
    return drawInt(random, 0, 2) == 0 ? std::nullopt : std::optional<T>(value);
}

/// Names with what SQL, CSV and file systems stumble over.
std::string drawName(Random& random)
{
    static const std::vector<std::string> words {"narrow", "wide", "hangar \"3\"", "it's low",
        "Größe", "a,b;c", "läuft\nweiter", "空", "%s {0}", "full power"};
    return words[static_cast<std::size_t>(drawInt(random, 0, static_cast<int>(words.size()) - 1))]
        + " " + std::to_string(drawInt(random, 0, 99999));
}

template<typename T> const T* drawEntry(Random& random, const std::vector<T>& entries)
{
    return entries.empty() ? nullptr
                           : &entries[static_cast<std::size_t>(
                               drawInt(random, 0, static_cast<int>(entries.size()) - 1))];
}

Rig drawRig(Random& random)
{
    Rig rig;
    rig.id = newId<RigId>();
    rig.name = drawName(random);
    rig.camera = drawName(random);
    rig.captureRate = sometimes(random, FrameRate {drawInt(random, 200, 2000), 1});
    rig.exposureMs = sometimes(random, drawReal(random, 0.1, 4.0));
    rig.lineTimeUs = sometimes(random, drawReal(random, -10.0, 10.0));
    rig.zeroMs = sometimes(random, drawReal(random, -1.0, 1.0));
    rig.zeroUncertaintyMs = sometimes(random, drawReal(random, 0.0, 0.1));
    rig.shortestHold = sometimes(random, Latency {drawInt(random, 1, 2'000'000'000)});
    return rig;
}

CheckResult drawCheck(Random& random)
{
    CheckResult check;
    check.file = drawName(random);
    check.sha256 = std::to_string(random());
    check.edges = drawInt(random, 2, 60);
    check.notes = {{"no-zero-check", {}}};
    if (drawInt(random, 0, 1) == 0) {
        check.flags = {Flag::RowSkewInside};
        ZeroFigures zero {drawReal(random, -1.0, 1.0), 1.0 / 3.0, drawReal(random, 0.0, 0.1),
            sometimes(random, drawReal(random, -10.0, 10.0)), {}, {1, 2}, {300, 400}};
        zero.lineTimeUncertaintyUs = zero.lineTimeUs ? sometimes(random, 0.125) : std::nullopt;
        check.figures = zero;
    } else {
        check.figures = TimeBaseFigures {drawReal(random, 100.0, 1000.0), 0.0625,
            sometimes(random, 240.0), 2000.0, drawReal(random, 0.0, 0.1), 20, 0.01};
    }
    return check;
}

// In the rectangle 200,100,640,480.
QuadPx turnedPanel() { return {{CornerPx {220, 100}, {840, 150}, {800, 580}, {200, 540}}}; }

Clip drawClip(Random& random, RunId run)
{
    Clip clip;
    clip.id = newId<ClipId>();
    clip.run = run;
    clip.file = {"clips/" + drawName(random) + ".mp4", "/somewhere/" + drawName(random) + ".mp4",
        sometimes(random, std::to_string(random())).value_or(""), drawInt(random, 0, 1'000'000)};
    clip.options.captureRate = sometimes(random, FrameRate {240000, 1001});
    clip.options.reference = sometimes(random, RectPx {1, 2, 3, 4});
    clip.options.lineTimeUs = sometimes(random, -7.25);
    clip.notes = drawName(random);
    return clip;
}

/// An edit of an entry, or an empty one where there is none.
template<typename T, typename Make>
Edit onEntry(Random& random, const std::vector<T>& entries, Make make)
{
    const T* entry = drawEntry(random, entries);
    if (entry == nullptr) {
        return {};
    }
    const Result<Edit> edit = make(*entry);
    return edit ? *edit : Edit {};
}

Edit orNothing(const Result<Edit>& edit) { return edit ? *edit : Edit {}; }

Edit listEdit(const Session& s, Random& random, int kind)
{
    switch (kind) {
    case 0:
        return changeInfo(s,
            {drawName(random), drawName(random),
                sometimes(random, Latency {drawInt(random, 1, 1 << 30)})});
    case 1:
        return orNothing(addRig(s, drawRig(random)));
    case 2:
        return onEntry(random, s.rigs, [&](const Rig& rig) {
            Rig after = drawRig(random);
            after.id = rig.id;
            after.place = rig.place;
            return changeRig(s, after);
        });
    case 3:
        return onEntry(random, s.rigs, [&](const Rig& rig) { return removeRig(s, rig.id); });
    case 4:
    case 5:
        return orNothing(addSetting(s, newId<SettingId>(), drawName(random), conditions(random)));
    case 6:
        return onEntry(random, s.settings,
            [&](const LinkSetting& x) { return renameSetting(s, x.id, drawName(random)); });
    case 7:
        return onEntry(random, s.settings,
            [&](const LinkSetting& x) { return changeConditions(s, x.id, conditions(random)); });
    case 8:
        return drawInt(random, 0, 2) == 0 ? onEntry(
                   random, s.settings, [&](const LinkSetting& x) { return removeSetting(s, x.id); })
                                          : Edit {};
    case 9:
        return onEntry(random, s.settings, [&](const LinkSetting& x) {
            return reorderSetting(s, x.id, drawEntry(random, s.settings)->id);
        });
    case 10:
    case 11:
        return onEntry(random, s.settings, [&](const LinkSetting& x) {
            return addRun(s, newId<RunId>(), x.id, drawName(random));
        });
    case 12:
    case 13:
        return onEntry(random, s.rigs, [&](const Rig& rig) {
            return addRigCheck(s,
                {newId<RigCheckId>(), 0, rig.id,
                    "2026-0" + std::to_string(drawInt(random, 1, 9)) + "-17", drawCheck(random)});
        });
    case 14:
        return onEntry(random, s.rigChecks,
            [&](const RigCheck& check) { return removeRigCheck(s, check.id); });
    case 15:
        return onEntry(random, s.settings, [&](const LinkSetting& x) {
            return changeReadouts(s, x.id,
                {{drawReal(random, 5.0, 60.0), drawName(random)},
                    {drawReal(random, 5.0, 60.0), ""}});
        });
    default:
        return onEntry(
            random, s.runs, [&](const Run& run) { return renameRun(s, run.id, drawName(random)); });
    }
}

Edit runEdit(const Session& s, Random& random, int kind)
{
    switch (kind) {
    case 0:
        return onEntry(random, s.runs,
            [&](const Run& run) { return changeRunNotes(s, run.id, drawName(random)); });
    case 1:
        return drawInt(random, 0, 2) == 0
            ? onEntry(random, s.runs, [&](const Run& run) { return removeRun(s, run.id); })
            : Edit {};
    case 2:
        return onEntry(random, s.runs,
            [&](const Run& run) { return moveRun(s, run.id, drawEntry(random, s.settings)->id); });
    default:
        return onEntry(
            random, s.runs, [&](const Run& run) { return addClip(s, drawClip(random, run.id)); });
    }
}

Edit clipEdit(const Session& s, Random& random, int kind,
    const std::vector<SharedValue<ClipMeasurement>>& measurements)
{
    return onEntry(random, s.clips, [&](const Clip& clip) -> Result<Edit> {
        switch (kind) {
        case 0:
            return removeClip(s, clip.id);
        case 1:
            return moveClip(s, clip.id, drawEntry(random, s.runs)->id);
        case 2:
            return changeClipNotes(s, clip.id, drawName(random));
        case 3:
            return changeClipFile(s, clip.id, drawClip(random, clip.run).file);
        case 4: {
            const Rig* rig = drawEntry(random, s.rigs);
            return assignRig(s, clip.id, rig == nullptr ? RigId {} : rig->id);
        }
        case 5: {
            measure::MeasureOptions options = clip.options;
            options.goggle = RectPx {drawInt(random, 0, 99), 1, 2, 3};
            options.searchMs = drawReal(random, 50.0, 300.0);
            options.linkFrameRate = sometimes(random, FrameRate {60000, 1001});
            options.edges = measure::EdgeChoice::On;
            if (drawInt(random, 0, 1) == 0) {
                setPanelCorners(options, turnedPanel());
            }
            options.captureRateUncertaintyHz = sometimes(random, drawReal(random, 0.0, 0.1));
            options.shortestHoldMs = sometimes(
                random, drawInt(random, 0, 1) == 0 ? measure::usualShortestHoldMs : 80.5);
            return changeOptions(s, clip.id, options);
        }
        default:
            return setMeasurement(s, clip.id, *drawEntry(random, measurements));
        }
    });
}

Edit pressEdit(const Session& s, Random& random, int kind)
{
    return onEntry(random, s.clips, [&](const Clip& clip) -> Result<Edit> {
        const Press* one
            = clip.measurement ? drawEntry(random, clip.measurement->presses) : nullptr;
        const PressAddress at {clip.id, one == nullptr ? 0 : one->index};
        const Mark mark = static_cast<Mark>(drawInt(random, 0, 5));
        switch (kind) {
        case 0:
        case 1:
            return moveMark(s, at, mark, RealTime {drawInt(random, 0, 100'000'000)});
        case 2:
            return resetMark(s, at, mark);
        case 3:
            return setAsidePress(s, at, drawName(random));
        case 4:
            return acceptPress(s, at, drawInt(random, 0, 1) == 0 ? "" : drawName(random));
        case 5:
            return setReadout(s, at, sometimes(random, drawReal(random, 5.0, 60.0)));
        default:
            return resetChoice(s, at);
        }
    });
}

} // namespace

Press press(int index, double onsetMs, std::optional<double> latencyMs)
{
    Press made;
    made.index = index;
    made.edge = index % 2 == 0 ? Edge::On : Edge::Off;
    made.reference = realTimeFromMs(onsetMs);
    made.referenceBefore = 0.01;
    made.referenceAfter = 1.0 / 3.0;
    made.parts = {{UncertaintySource::ReferenceOnset, 0.0213, false}};
    if (!latencyMs) {
        made.flags = {Flag::NoResponse, Flag::ExposureUnknown};
        return made;
    }
    made.latency = latencyFromMs(*latencyMs);
    made.firstLight = *made.reference + *made.latency;
    made.halfLight = *made.firstLight + latencyFromMs(0.7);
    made.settled = *made.firstLight + latencyFromMs(1.9);
    made.sweepStart = *made.reference + latencyFromMs(*latencyMs - 3.0);
    made.fullFrame = *made.firstLight + latencyFromMs(9.5);
    made.fullFrameLatency = *made.latency + latencyFromMs(9.5);
    made.uncertainty = latencyFromMs(0.083);
    made.parts.push_back({UncertaintySource::FirstLight, 0.0311, false});
    made.parts.push_back({UncertaintySource::CaptureRate, 1e-4 / 3.0, true});
    made.parts.back().degreesOfFreedom = 12.5;
    made.referenceModel = {95 + index, {0.01F, 0.2F, 1.0F / 3.0F}};
    made.goggleModel = {110 + index, {0.02F, 0.4F}};
    made.goggleBefore = 0.02;
    made.goggleAfter = 0.4;
    return made;
}

ClipResult clipResult(Random& random, int presses, int frames)
{
    ClipResult result;
    result.clip = {"bench one.mp4", "", frames, 1280, 720, 90, 29.97, FrameRate {960, 1},
        RateSource::File, 3, 0.5, ExposureSource::Estimated, -4.75};
    result.clip.sha256 = std::to_string(random());
    result.regions = {
        {10, 20, 30, 40}, {400, 300, 50, 60}, RectPx {200, 100, 640, 480}, RegionSource::Located};
    result.scan = {ScanMode::Sparse, frames, drawReal(random, 0.1, 20.0), 60.0};
    for (int index = 0; index < presses; ++index) {
        const auto latency = drawInt(random, 0, 9) == 0
            ? std::nullopt
            : std::optional<double>(drawReal(random, 15.0, 40.0));
        result.presses.push_back(press(index, 100.0 + 250.0 * index, latency));
    }
    PanelTiming timing;
    timing.scan = latencyFromMs(8.25);
    timing.direction = SweepDirection::Up;
    timing.newFrameInterval = latencyFromMs(16.683);
    timing.newFrameUncertaintyMs = 0.05;
    timing.heldShare = 0.02;
    timing.signs = {"sweep", "brightness stairs"};
    result.panelTiming = timing;
    result.notes = {{"exposure-estimated", {"0.5"}}, {"no-zero-check", {}}};
    for (int k = 0; k < frames; ++k) {
        result.traces.exposureStart.push_back({k * 1'041'667LL});
        result.traces.reference.push_back(static_cast<float>(drawReal(random, 0.0, 1.0)));
        result.traces.goggle.push_back(static_cast<float>(drawReal(random, 0.0, 1.0)));
        result.traces.panel.push_back(static_cast<float>(drawReal(random, 0.0, 1.0)));
    }
    result.regions.panelCorners = sometimes(random, turnedPanel());
    return result;
}

Conditions conditions(Random& random)
{
    Conditions made;
    made.linkCamera = drawName(random);
    made.linkFrameRate = sometimes(random, FrameRate {60000, 1001});
    made.linkExposureMs = sometimes(random, drawReal(random, 0.1, 16.0));
    made.widthPx = sometimes(random, 1280);
    made.heightPx = sometimes(random, 720);
    made.bitRateMbit = sometimes(random, drawReal(random, 1.0, 50.0));
    made.channelMhz = sometimes(random, 5745.0);
    made.channelWidthMhz = sometimes(random, 20.0);
    made.outputPowerMw = sometimes(random, drawReal(random, 1.0, 500.0));
    made.distanceM = sometimes(random, drawReal(random, 0.5, 300.0));
    made.attenuationDb = sometimes(random, 1.0 / 3.0);
    made.interference = drawName(random);
    made.goggle = drawName(random);
    made.brightnessPercent = sometimes(random, 70.0);
    made.panelRateHz = sometimes(random, 90.0);
    made.lampPlace = drawName(random);
    made.warmUpMinutes = sometimes(random, 10.0);
    made.antenna = drawName(random);
    made.firmware = drawName(random);
    made.notes = drawName(random);
    return made;
}

Edit randomEdit(const Session& session, Random& random,
    const std::vector<SharedValue<ClipMeasurement>>& measurements)
{
    switch (drawInt(random, 0, 9)) {
    case 0:
    case 1:
    case 2:
        return listEdit(session, random, drawInt(random, 0, 16));
    case 3:
    case 4:
        return runEdit(session, random, drawInt(random, 0, 5));
    case 5:
    case 6:
        return clipEdit(session, random, drawInt(random, 0, 9), measurements);
    default:
        return pressEdit(session, random, drawInt(random, 0, 6));
    }
}

std::vector<SharedValue<ClipMeasurement>> keptMeasurements(
    store::SessionFile& file, Random& random, int count)
{
    std::vector<SharedValue<ClipMeasurement>> kept;
    for (int i = 0; i < count; ++i) {
        measure::MeasureOptions options;
        options.exposureMs = 1.0 / 3.0;
        options.zeroMs = -0.125;
        options.fromRig.zero = i % 2 == 1;
        options.fromRig.exposure = i % 3 == 1;
        options.fromRig.shortestHold = i % 4 == 1;
        options.shortestHoldMs = sometimes(random, 400.0);
        options.fromRig.zeroCheckDate = options.fromRig.zero ? "2026-05-17" : "";
        options.threads = 2;
        const auto one = file.keep(clipResult(random, drawInt(random, 0, 12), 64 + i), options);
        if (!one) {
            ADD_FAILURE() << one.error().detail;
            continue;
        }
        kept.push_back(*one);
    }
    return kept;
}

void mustApply(store::SessionFile& file, const Result<Edit>& edit)
{
    if (!edit) {
        ADD_FAILURE() << edit.error().detail;
        return;
    }
    const Result<void> done = file.apply(*edit);
    EXPECT_TRUE(done) << (done ? "" : done.error().detail);
}

} // namespace twinlamp::session::samples

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/sparse_measurement.h"

#include "core/measure/answer_window.h"
#include "core/measure/sparse_doubts.h"
#include "core/measure/sparse_scan.h"

#include <algorithm>
#include <cmath>
#include <spdlog/spdlog.h>

namespace twinlamp::measure {

namespace {

// Windows of the analysis. A level is the mean of 24 frames, one off the switching. A lamp's
// afterglow is looked for within as many; the level behind it, as many again, only matters where
// there may be one (onset/reference_onset.cpp, onset/lamp_response.cpp).
constexpr std::size_t levelReach = 27;
constexpr std::size_t levelAndGlowReach = 50;
// What is quiet before a switching, for the panel as well (measure/panel_interval.cpp).
constexpr double quietMs = 13.0;
// An answer's window reaches so many new-frame intervals behind half light, guessed ones at first
// (measure/answer_window.cpp).
constexpr double answerIntervals = 4.5;
constexpr double fewestAnswerFrames = 8.0;
constexpr double answerLagMs = 30.0;

SparseNeeds needsOf(const ClipSetting& setting)
{
    const double frameMs = setting.clock.captureRate().intervalMs();
    SparseNeeds needs;
    // A frame less: one that a switching falls into belongs to neither side.
    needs.longestGapMs = setting.options.reliedHoldMs() - frameMs;
    needs.framesBefore
        = std::max(levelReach, static_cast<std::size_t>(std::ceil(quietMs / frameMs)) + 2);
    needs.framesAfterReference = levelReach;
    needs.afterGoggleMs
        = std::max(answerIntervals * guessedNewFrameMs, fewestAnswerFrames * frameMs)
        + 2.0 * frameMs;
    needs.searchMs = setting.options.searchMs;
    needs.answerLagMs = answerLagMs;
    return needs;
}

/// What the analysis has shown to be needed besides.
SparseNeeds needsAfter(SparseNeeds needs, const AnalysisGround& ground)
{
    needs.windows = ground.answerWindows;
    // A third of what makes a lamp a slow one.
    constexpr double possibleTail = 1.0;
    if (ground.lampTailGain > possibleTail) {
        needs.framesAfterReference = levelAndGlowReach;
    }
    const auto tightened = [](double tolerance, const onset::EdgeSearch& search) {
        return search.stepHeight > 0.0 ? std::min(tolerance, unchangedShare * search.stepHeight)
                                       : tolerance;
    };
    needs.referenceTolerance = tightened(needs.referenceTolerance, ground.reference);
    needs.goggleTolerance = tightened(needs.goggleTolerance, ground.goggle);
    return needs;
}

std::int64_t count(std::span<const char> decoded) { return std::ranges::count(decoded, 1); }

JobResult<SparseMeasurement> whole(
    const ClipSetting& setting, SparseScan& scan, const std::string& reason)
{
    spdlog::debug("{}: {} of {} frames decoded, then all: {}", setting.index.info.file,
        count(scan.decoded()), setting.index.frameCount(), reason);
    if (auto done = scan.decodeAll(); !done.hasValue()) {
        return done.isCancelled() ? JobResult<SparseMeasurement>(Cancelled {})
                                  : JobResult<SparseMeasurement>(done.error());
    }
    SparseMeasurement measured;
    measured.scan = scan.soFar();
    measured.analysed = analysedLight(setting, measured.scan.light);
    measured.notes.push_back({"sparse-not-proved", {reason}});
    measured.scanSeconds = scan.seconds();
    return measured;
}

} // namespace

bool isSparseScanWorthIt(const ClipSetting& setting)
{
    const SparseNeeds needs = needsOf(setting);
    if (needs.longestGapMs <= setting.clock.captureRate().intervalMs()) {
        return false;
    }
    const std::vector<char> none(setting.startMs.size(), 0);
    const std::vector<float> dark(setting.startMs.size(), 0.0F);
    std::int64_t sampled = 0;
    for (const FrameRange range :
        nextRanges({setting.index.keyframes, setting.startMs, dark, dark, none}, needs,
            setting.index.all())) {
        sampled += range.frameCount();
    }
    constexpr double mostSampled = 0.6;
    return static_cast<double>(sampled) < mostSampled * static_cast<double>(none.size());
}

JobResult<SparseMeasurement> measureSparsely(
    const ClipSetting& setting, const JobControl& control, ScanProgress progress)
{
    SparseScan scan(setting.index, setting.stored, setting.startMs, control, std::move(progress));
    SparseNeeds needs = needsOf(setting);
    auto done = scan.decodeFirst(needs);
    // Each round adds what the one before has shown to be needed.
    constexpr int mostRounds = 5;
    for (int round = 0; done.hasValue() && round < mostRounds; ++round) {
        SparseMeasurement measured;
        measured.scan = scan.soFar();
        measured.analysed = analysedLight(setting, measured.scan.light);
        if (control.stopRequested()) {
            return Cancelled {};
        }
        if (const auto doubt = sparseDoubt(setting, measured.scan, measured.analysed)) {
            return whole(setting, scan, *doubt);
        }
        const std::int64_t before = count(scan.decoded());
        needs = needsAfter(needs, measured.analysed.analysis.ground);
        done = scan.decodeMore(needs);
        if (done.hasValue() && count(scan.decoded()) == before) {
            measured.scanSeconds = scan.seconds();
            return measured;
        }
    }
    if (!done.hasValue()) {
        return done.isCancelled() ? JobResult<SparseMeasurement>(Cancelled {})
                                  : JobResult<SparseMeasurement>(done.error());
    }
    return whole(setting, scan, "the switchings did not stay the same");
}

} // namespace twinlamp::measure

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/check_lamps.h"
#include "core/measure/rig_checks.h"
#include "core/rig/zero_difference.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <spdlog/fmt/fmt.h>

namespace twinlamp::measure {

namespace {

// The row correction that a fitted line time makes has to be known this well.
constexpr double mostOpenRows = 0.1; // of a frame interval
// Two lamps of a check switch within this time, or one of them is not in direct view.
constexpr double mostApartMs = 110.0;
// Differences above this come from a link, not from two lamps on one switch.
constexpr double suspiciousMs = 5.0;

std::vector<rig::ZeroEdge> pairsOf(const LampTimes& reference, const LampTimes& goggle)
{
    std::vector<rig::ZeroEdge> pairs;
    for (const Switching& one : reference.switchings) {
        const Switching* nearest = nullptr;
        for (const Switching& other : goggle.switchings) {
            const auto apart
                = [&](const Switching& s) { return std::abs(s.onset.timeMs - one.onset.timeMs); };
            if (other.edge.edge == one.edge.edge && apart(other) <= mostApartMs
                && (nearest == nullptr || apart(other) < apart(*nearest))) {
                nearest = &other;
            }
        }
        if (nearest != nullptr) {
            pairs.push_back({one.edge.edge, one.onset, nearest->onset});
        }
    }
    return pairs;
}

std::optional<rig::LineTimeFit> fittedLineTime(
    const LampTimes& reference, const LampTimes& goggle, double rowsApart, double frameMs)
{
    std::vector<rig::LampLines> all;
    for (const LampTimes* lamp : {&reference, &goggle}) {
        if (!lamp->isClipped) {
            for (const Switching& one : lamp->switchings) {
                all.push_back(one.lines);
            }
        }
    }
    const auto fit = rig::fitLineTime(all);
    constexpr double msPerUs = 1e-3;
    if (!fit || fit->halfWidthUs * msPerUs * rowsApart > mostOpenRows * frameMs) {
        return std::nullopt;
    }
    return fit;
}

void noteZero(const rig::ZeroDifference& zero, CheckResult& result)
{
    if (zero.onlyBounded) {
        result.notes.push_back({"check-onsets-bounded", {}});
        addFlag(result.flags, Flag::OnsetInGap);
    }
    if (zero.offMinusOnMs) {
        result.notes.push_back({"zero-on-off-differ", {fmt::format("{:.3f}", *zero.offMinusOnMs)}});
    }
    if (std::abs(zero.differenceMs) > suspiciousMs) {
        result.notes.push_back({"zero-large", {fmt::format("{:.1f}", zero.differenceMs)}});
    }
    if (static_cast<std::size_t>(zero.edges) < fewCheckEdges) {
        result.notes.push_back({"check-few-edges", {std::to_string(zero.edges)}});
    }
}

RowSpan rowsOf(const LampScan& lamp) { return {lamp.stored.y, lamp.stored.bottom()}; }

/// A zero check under one exposure.
struct ZeroPass
{
    std::vector<rig::ZeroEdge> pairs;
    std::optional<rig::LineTimeFit> fit;
    std::optional<double> lineTimeUs; ///< given or fitted
    double rowsApart = 0.0;
    bool isClipped = false;
    bool sawBoth = false;
};

ZeroPass zeroPass(const CheckScan& scan, const MeasureOptions& options, const Exposure& exposure)
{
    const LampScan& reference = scan.lamps[0];
    const LampScan& goggle = scan.lamps[1];
    ZeroPass pass;
    pass.rowsApart = std::abs(
        middleRow(goggle.lines, goggle.stored) - middleRow(reference.lines, reference.stored));
    if (!options.lineTimeUs) {
        pass.fit = fittedLineTime(timesOf(scan, reference, exposure, 0.0, true),
            timesOf(scan, goggle, exposure, 0.0, true), pass.rowsApart,
            scan.clip.captureRate.intervalMs());
    }
    pass.lineTimeUs = pass.fit ? std::optional(pass.fit->lineTimeUs) : options.lineTimeUs;
    const double lineTimeUs = pass.lineTimeUs.value_or(0.0);
    const LampTimes one = timesOf(scan, reference, exposure, lineTimeUs, false);
    const LampTimes other = timesOf(scan, goggle, exposure, lineTimeUs, false);
    pass.pairs = pairsOf(one, other);
    pass.isClipped = one.isClipped || other.isClipped;
    pass.sawBoth = !one.switchings.empty() && !other.switchings.empty();
    return pass;
}

// What codec and camera curve do to the light of partly lit frames alike at every switching, so
// that more of them do not average it out: standard uncertainty of the difference, share of the
// exposure. Without it 85 of 100 random checks held their truth (film scenes of view "direct", 240
// to 1000 frames/s, seeds 1000 to 1099).
constexpr double responseShare = 0.004;

/// The exposure one standard uncertainty longer, or shorter where it already fills its frame.
Exposure otherExposure(const Exposure& exposure, double frameMs)
{
    Exposure other = exposure;
    const bool fits = exposure.ms + exposure.standardMs <= frameMs;
    other.ms += fits ? exposure.standardMs : -exposure.standardMs;
    other.ms = std::max(other.ms, 0.01 * frameMs);
    return other;
}

/// How far the exposure moves the line time and the difference, as standard uncertainties. The row
/// correction and the onsets move together, so the whole check is made again.
struct ExposureDoubt
{
    double lineTimeUs = 0.0;
    double differenceMs = 0.0;
};

ExposureDoubt exposureDoubt(const CheckScan& scan, const MeasureOptions& options,
    const Exposure& exposure, const ZeroPass& pass, double differenceMs)
{
    if (exposure.standardMs <= 0.0) {
        return {};
    }
    const ZeroPass other
        = zeroPass(scan, options, otherExposure(exposure, scan.clip.captureRate.intervalMs()));
    const auto zero = rig::zeroDifference(other.pairs, {});
    ExposureDoubt doubt;
    doubt.differenceMs = zero ? std::abs(zero->differenceMs - differenceMs) : 0.0;
    if (pass.fit && other.fit) {
        doubt.lineTimeUs = std::abs(other.fit->lineTimeUs - pass.fit->lineTimeUs);
    }
    return doubt;
}

/// Row mixing by lens and codec, and the exposure, beside the scatter.
rig::ExpandedUncertainty lineTimeUncertainty(const rig::LineTimeFit& fit, double exposureUs)
{
    const std::array parts {rig::StandardPart {fit.standardUs, fit.degreesOfFreedom},
        rig::StandardPart {exposureUs, std::nullopt},
        rig::StandardPart {rowMixing * std::abs(fit.lineTimeUs), std::nullopt}};
    return rig::expandedUncertainty(parts);
}

JobResult<CheckedClip> zeroOf(const CheckScan& scan, const MeasureOptions& options)
{
    const Exposure exposure = exposureOf(scan, options.exposureMs);
    const ZeroPass pass = zeroPass(scan, options, exposure);
    if (!pass.sawBoth) {
        return noPress(scan);
    }
    auto zero = rig::zeroDifference(pass.pairs, {});
    if (!zero) {
        return named(zero.error(), scan);
    }
    const ExposureDoubt doubt = exposureDoubt(scan, options, exposure, pass, zero->differenceMs);
    std::vector<rig::StandardPart> common {{doubt.differenceMs, std::nullopt},
        {responseShare * std::min(exposure.ms, scan.clip.captureRate.intervalMs()), std::nullopt}};
    std::optional<double> lineTimeHalfWidth;
    if (pass.fit) {
        const double perUs = 1e-3 * pass.rowsApart;
        common.push_back({perUs * pass.fit->standardUs, pass.fit->degreesOfFreedom});
        common.push_back({perUs * rowMixing * std::abs(pass.fit->lineTimeUs), std::nullopt});
        lineTimeHalfWidth = lineTimeUncertainty(*pass.fit, doubt.lineTimeUs).halfWidth;
    }
    zero = rig::zeroDifference(pass.pairs, common);
    CheckedClip checked = startOf(scan);
    checked.goggle = scan.regions[1];
    checked.clip.lineTimeUs = pass.lineTimeUs;
    checked.result.edges = zero->edges;
    checked.result.figures = ZeroFigures {zero->differenceMs, zero->halfWidthMs, zero->scatterMs,
        pass.lineTimeUs, lineTimeHalfWidth, rowsOf(scan.lamps[0]), rowsOf(scan.lamps[1])};
    noteExposure(exposure, checked);
    if (!pass.lineTimeUs) {
        addFlag(checked.result.flags, Flag::RowSkewInside);
    }
    if (pass.isClipped) {
        addFlag(checked.result.flags, Flag::ReferenceClipped);
    }
    noteZero(*zero, checked.result);
    return checked;
}

} // namespace

JobResult<CheckedClip> zeroCheck(
    const std::filesystem::path& clip, const MeasureOptions& options, const JobControl& control)
{
    constexpr std::size_t lamps = 2;
    auto scanned = scanForCheck(clip, options, lamps, false, control);
    if (!scanned.hasValue()) {
        return scanned.isCancelled() ? JobResult<CheckedClip>(Cancelled {})
                                     : JobResult<CheckedClip>(scanned.error());
    }
    return zeroOf(scanned.value(), options);
}

} // namespace twinlamp::measure

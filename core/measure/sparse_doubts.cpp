// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/sparse_doubts.h"

#include "core/measure/room_light.h"
#include "core/panel/motion.h"
#include "core/trace/noise.h"
#include "core/trace/pulse_rhythm.h"

#include <algorithm>
#include <cmath>
#include <span>
#include <spdlog/fmt/fmt.h>
#include <vector>

namespace twinlamp::measure {

using onset::CoarseEdge;

namespace {

/// Light of a lamp that is on and has settled, as a share of each hold's mean.
struct LitLight
{
    std::vector<double> timeMs;
    std::vector<double> share;
};

LitLight litLight(const ClipSetting& setting, std::span<const float> light,
    const std::vector<CoarseEdge>& edges, double settlingMs)
{
    constexpr std::size_t fewest = 3;
    LitLight lit;
    for (std::size_t i = 0; i < edges.size(); ++i) {
        if (edges[i].edge == Edge::Off) {
            continue;
        }
        const std::size_t last = i + 1 < edges.size() ? edges[i + 1].frame - 1 : light.size();
        const double settled = setting.startMs[edges[i].frame] + settlingMs;
        const std::size_t before = lit.share.size();
        double sum = 0.0;
        for (std::size_t k = edges[i].frame; k + 1 < last; ++k) {
            if (std::isfinite(light[k]) && setting.startMs[k] > settled) {
                lit.timeMs.push_back(setting.startMs[k]);
                lit.share.push_back(static_cast<double>(light[k]));
                sum += lit.share.back();
            }
        }
        const std::size_t count = lit.share.size() - before;
        if (count < fewest || sum <= 0.0) {
            lit.timeMs.resize(before);
            lit.share.resize(before);
            continue;
        }
        for (std::size_t j = before; j < lit.share.size(); ++j) {
            lit.share[j] *= static_cast<double>(count) / sum;
        }
    }
    return lit;
}

// Of the swing that is taken for pulses or for a beat with the frames (trace/pulse_light.cpp,
// trace/slow_beat.cpp).
constexpr double possibleSwing = 0.03;

/// Largest less smallest share by phase.
double foldedSwing(const LitLight& lit, double periodMs)
{
    constexpr std::size_t framesPerBin = 12;
    constexpr std::size_t fewestBins = 6;
    const std::size_t bins
        = std::clamp<std::size_t>(lit.share.size() / framesPerBin, fewestBins, 96);
    std::vector<std::vector<double>> inBin(bins);
    for (std::size_t i = 0; i < lit.share.size(); ++i) {
        const double turns = lit.timeMs[i] / periodMs;
        const double phase = turns - std::floor(turns);
        inBin[std::min(bins - 1, static_cast<std::size_t>(phase * static_cast<double>(bins)))]
            .push_back(lit.share[i]);
    }
    std::vector<double> folded;
    for (const auto& values : inBin) {
        constexpr std::size_t fewest = 3;
        if (values.size() >= fewest) {
            folded.push_back(trace::medianOf(values));
        }
    }
    return folded.empty() ? 1.0
                          : *std::ranges::max_element(folded) - *std::ranges::min_element(folded);
}

/// Pulses show in a rhythm, and a slow beat between a strobe and the frames in that the level does
/// not keep still.
bool mayPulse(const ClipSetting& setting, std::span<const float> light, const LitLight& lit)
{
    constexpr std::size_t fewest = 60;
    if (lit.share.size() < fewest) {
        return true; // too little to know
    }
    const auto period
        = trace::pulseRhythmMs(light, setting.startMs, setting.clock.captureRate().intervalMs());
    if (period && foldedSwing(lit, *period) > possibleSwing) {
        return true;
    }
    std::vector<double> sorted = lit.share;
    std::ranges::sort(sorted);
    const auto at = [&](double quantile) {
        return sorted[static_cast<std::size_t>(quantile * static_cast<double>(sorted.size() - 1))];
    };
    return at(0.9) - at(0.1) > possibleSwing;
}

bool anyMayPulse(const ClipSetting& setting, const RegionLight& light, const AnalysisGround& ground)
{
    // A lamp's afterglow is over, the panel has followed a link of usual latency.
    constexpr double lampSettlingMs = 30.0;
    constexpr double panelSettlingMs = 60.0;
    return mayPulse(setting, light.reference,
               litLight(setting, light.reference, ground.reference.edges, lampSettlingMs))
        || mayPulse(setting, light.goggle,
            litLight(setting, light.goggle, ground.goggle.edges, panelSettlingMs));
}

std::optional<double> shortestHoldMs(
    const ClipSetting& setting, const std::vector<CoarseEdge>& edges)
{
    std::optional<double> shortest;
    for (std::size_t i = 1; i < edges.size(); ++i) {
        const double hold = setting.startMs[edges[i].frame] - setting.startMs[edges[i - 1].frame];
        shortest = std::min(shortest.value_or(hold), hold);
    }
    return shortest;
}

bool panelMayMove(
    const ClipSetting& setting, const RegionLight& light, const AnalysisGround& ground)
{
    const auto input = analysisInput(setting, light, setting.startMs.size(), true);
    return input.panel && panel::mayMove(*input.panel, setting.startMs, ground.quiet);
}

} // namespace

std::optional<std::string> sparseDoubt(
    const ClipSetting& setting, const RegionScan& scan, const AnalysedLight& analysed)
{
    const AnalysisGround& ground = analysed.analysis.ground;
    if (!scan.missing.empty()) {
        return "frames are damaged";
    }
    if (ground.reference.edges.empty() || ground.goggle.edges.empty()) {
        return "no switching was seen";
    }
    const auto hold = shortestHoldMs(setting, ground.reference.edges);
    const double interval = setting.clock.captureRate().intervalMs();
    if (hold && *hold < setting.options.reliedHoldMs() - interval) {
        return fmt::format("a hold of {:.0f} ms was seen", *hold);
    }
    if (ground.isPulsed || anyMayPulse(setting, scan.light, ground)) {
        return "a lamp or the panel seems to pulse";
    }
    const auto& orientation = setting.index.info.orientation;
    const RoomView view {setting.startMs,
        {0, 0, orientation.storedWidthPx, orientation.storedHeightPx}, setting.stored.roomColumns,
        setting.stored.roomRows};
    RegionLight light = scan.light;
    if (!analysed.roomNotes.empty() || roomMayMatter(view, setting.stored, light)) {
        return "the light of the room seems to vary";
    }
    if (panelMayMove(setting, scan.light, ground)) {
        return "the picture on the panel seems to move";
    }
    return std::nullopt;
}

} // namespace twinlamp::measure

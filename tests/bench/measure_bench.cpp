// SPDX-License-Identifier: GPL-3.0-or-later
// A clip's whole way against plain decoding of it, in the same run and taking turns.
#include "core/footage/capture_clock.h"
#include "core/measure/clip_analysis.h"
#include "core/measure/clip_measurement.h"
#include "core/measure/clip_setting.h"
#include "core/measure/region_scan.h"
#include "tests/bench/filmed_clip.h"
#include "tests/bench/measured_process.h"

#include <algorithm>
#include <benchmark/benchmark.h>
#include <cmath>
#include <optional>
#include <span>
#include <vector>

namespace {

using namespace twinlamp;
using namespace twinlamp::bench;

std::optional<ClipResult> measured(const FilmedClip& clip, ScanMode mode, double shortestHoldMs)
{
    measure::MeasureOptions options;
    options.captureRate = clip.captureRate;
    options.reference = clip.regions.reference;
    options.goggle = clip.regions.goggle;
    options.panel = clip.regions.panel;
    options.scan = mode;
    options.shortestHoldMs = shortestHoldMs;
    auto measurement = measure::measureClip(clip.file, options, {});
    return measurement.hasValue() ? std::optional(std::move(std::move(measurement).value().result))
                                  : std::nullopt;
}

/// Largest difference of a latency, in its stated half width; nothing where the presses are others.
std::optional<double> differenceOf(const ClipResult& a, const ClipResult& b)
{
    if (a.presses.size() != b.presses.size()) {
        return std::nullopt;
    }
    double largest = 0.0;
    for (std::size_t i = 0; i < a.presses.size(); ++i) {
        const Press& x = a.presses[i];
        const Press& y = b.presses[i];
        if (x.edge != y.edge || x.flags != y.flags
            || x.latency.has_value() != y.latency.has_value()) {
            return std::nullopt;
        }
        if (x.latency) {
            largest = std::max(
                largest, std::abs(toMs(*x.latency) - toMs(*y.latency)) / toMs(*x.uncertainty));
        }
    }
    return largest;
}

/// Sparse scan against `ffmpeg -threads 2 -f null`. Target: scan_ratio 3 or more where a hold of
/// 400 ms is stated, the presses of a full scan. `whole_ratio` has index, hash and analysis as
/// well.
void sparseAgainstFfmpeg(benchmark::State& state, double shortestHoldMs)
{
    const FilmedClip clip = minuteOfPresses();
    const auto full = measured(clip, ScanMode::Full, shortestHoldMs);
    std::vector<double> scanRatios;
    std::vector<double> wholeRatios;
    std::vector<double> cpuRatios;
    for (auto _ : state) {
        const Cost other = costOfProgram({"ffmpeg", "-v", "error", "-nostdin", "-threads", "2",
            "-i", clip.file.string(), "-an", "-f", "null", "-"});
        std::optional<ClipResult> sparse;
        const Cost own = costOf([&] {
            sparse = measured(clip, ScanMode::Sparse, shortestHoldMs);
            return sparse.has_value();
        });
        const auto difference = full && sparse ? differenceOf(*sparse, *full) : std::nullopt;
        if (!other.succeeded || !difference) {
            state.SkipWithError("a scan failed, or its presses are others");
            return;
        }
        scanRatios.push_back(other.seconds / sparse->scan.seconds);
        wholeRatios.push_back(other.seconds / own.seconds);
        cpuRatios.push_back(other.cpuSeconds / own.cpuSeconds);
        state.counters["decoded_share"] = static_cast<double>(sparse->scan.framesDecoded)
            / static_cast<double>(sparse->clip.frames);
        state.counters["difference"] = *difference;
        state.SetIterationTime(own.seconds);
    }
    const auto middle = [](std::vector<double> values) {
        std::ranges::sort(values);
        return values.at(values.size() / 2);
    };
    state.counters["presses"] = static_cast<double>(full->presses.size());
    state.counters["scan_ratio"] = middle(scanRatios);
    state.counters["whole_ratio"] = middle(wholeRatios);
    state.counters["cpu_ratio"] = middle(cpuRatios);
}

/// What a clip's analysis takes of the time that its full scan takes. Target: share 0.03 or less.
void analysisAgainstScan(benchmark::State& state)
{
    const FilmedClip clip = minuteOfPresses();
    for (auto _ : state) {
        std::optional<ClipResult> full;
        const Cost whole = costOf([&] {
            full = measured(clip, ScanMode::Full, 100.0);
            return full.has_value();
        });
        if (!full) {
            state.SkipWithError("the scan failed");
            return;
        }
        // The index is in the user's cache by then; what is left beside the scan is analysis.
        const double restSeconds = whole.seconds - full->scan.seconds;
        state.counters["share"] = restSeconds / full->scan.seconds;
        state.counters["presses"] = static_cast<double>(full->presses.size());
        state.counters["frames"] = static_cast<double>(full->clip.frames);
        state.SetIterationTime(restSeconds);
    }
}

/// The light of a clip, so many times after itself.
struct LongLight
{
    measure::RegionLight light;
    std::vector<double> startMs;
};

LongLight repeatedLight(
    const measure::RegionLight& light, std::span<const double> startMs, int copies)
{
    LongLight all;
    const double lengthMs = startMs.back() - startMs.front() + startMs[1] - startMs[0];
    const auto add = [](std::vector<float>& to, const std::vector<float>& from) {
        to.insert(to.end(), from.begin(), from.end());
    };
    for (int copy = 0; copy < copies; ++copy) {
        add(all.light.reference, light.reference);
        add(all.light.referenceHigh, light.referenceHigh);
        add(all.light.referenceLines, light.referenceLines);
        add(all.light.goggle, light.goggle);
        add(all.light.goggleHigh, light.goggleHigh);
        add(all.light.goggleCells, light.goggleCells);
        add(all.light.panelCells, light.panelCells);
        for (const double start : startMs) {
            all.startMs.push_back(start + lengthMs * copy);
        }
    }
    return all;
}

/// Whether analysis goes with the length: 1 minute at 240 frames/s against 8 (115 000 frames, more
/// than an hour of playing at 30 frames/s). Target: growth 1.1 or less.
void analysisByLength(benchmark::State& state)
{
    const FilmedClip clip = minuteOfPresses();
    const auto index = footage::indexClip(clip.file, {}, {});
    if (!index.hasValue()) {
        state.SkipWithError("no index");
        return;
    }
    const footage::CaptureClock clock(index.value(), clip.captureRate);
    const measure::MeasureOptions options;
    std::vector<double> startMs;
    for (std::int64_t k = 0; k < index.value().frameCount(); ++k) {
        startMs.push_back(toMs(clock.toReal({k})));
    }
    measure::ClipSetting setting {index.value(), options, clock,
        measure::storedRegions(clip.regions, index.value().info.orientation, options), startMs};
    const auto scan = measure::scanRegions(index.value(), setting.stored, {}, {});
    if (!scan.hasValue()) {
        state.SkipWithError("the scan failed");
        return;
    }
    const auto secondsOf = [&](int copies) {
        const LongLight light = repeatedLight(scan.value().light, startMs, copies);
        setting.startMs = light.startMs;
        const auto input = measure::analysisInput(setting, light.light, light.startMs.size(), true);
        std::size_t presses = 0;
        const Cost cost = costOf([&] {
            presses = measure::analyseClip(input, options).presses.size();
            return true;
        });
        state.counters["presses"] = static_cast<double>(presses);
        return cost.seconds;
    };
    constexpr int minutes = 8;
    for (auto _ : state) {
        const double one = secondsOf(1);
        const double many = secondsOf(minutes);
        state.counters["one_minute_s"] = one;
        state.counters["growth"] = many / (one * minutes);
        state.SetIterationTime(many);
    }
}

BENCHMARK(analysisAgainstScan)->UseManualTime()->Iterations(1);
BENCHMARK(analysisByLength)->UseManualTime()->Iterations(1);
BENCHMARK_CAPTURE(sparseAgainstFfmpeg, hold_400ms, 400.0)->UseManualTime()->Iterations(3);
BENCHMARK_CAPTURE(sparseAgainstFfmpeg, hold_100ms, 100.0)->UseManualTime()->Iterations(3);

} // namespace

BENCHMARK_MAIN();

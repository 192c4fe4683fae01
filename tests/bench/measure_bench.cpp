// SPDX-License-Identifier: GPL-3.0-or-later
// A clip's whole way against plain decoding of it, in the same run and taking turns.
#include "core/measure/clip_measurement.h"
#include "tests/bench/filmed_clip.h"
#include "tests/bench/measured_process.h"

#include <algorithm>
#include <benchmark/benchmark.h>
#include <cmath>
#include <optional>

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

BENCHMARK_CAPTURE(sparseAgainstFfmpeg, hold_400ms, 400.0)->UseManualTime()->Iterations(3);
BENCHMARK_CAPTURE(sparseAgainstFfmpeg, hold_100ms, 100.0)->UseManualTime()->Iterations(3);

} // namespace

BENCHMARK_MAIN();

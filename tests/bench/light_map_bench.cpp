// SPDX-License-Identifier: GPL-3.0-or-later
// What filling a clip's light map costs its scan, and how long a second look at the clip takes.
#include "core/footage/frame_scan.h"
#include "core/measure/clip_measurement.h"
#include "core/trace/light_map.h"
#include "tests/bench/filmed_clip.h"
#include "tests/bench/measured_process.h"

#include <algorithm>
#include <atomic>
#include <benchmark/benchmark.h>
#include <chrono>
#include <cmath>
#include <memory>
#include <mutex>
#include <optional>

namespace {

using namespace twinlamp;
using namespace twinlamp::bench;
using footage::PictureView;

double middle(std::vector<double> values)
{
    std::ranges::sort(values);
    return values.at(values.size() / 2);
}

/// A scan of five seconds with and without a map, taking turns. Target: map_ms 0.2 a frame of
/// 1080p or less, below 3 % of the scan's processor time.
void fillLightMap(benchmark::State& state)
{
    const FilmedClip clip = minuteOfPresses();
    const auto index = footage::indexClip(clip.file, {}, {});
    constexpr std::int64_t frames = 1200;
    const auto scan = [&](const footage::VisitFrame& visit) {
        return costOf([&] {
            return index.hasValue()
                && footage::scanFrames(index.value(), {{0}, {frames}}, visit, {}, {}).hasValue();
        });
    };
    std::vector<double> shares;
    std::vector<double> mapMs;
    for (auto _ : state) {
        const Cost without = scan([](FrameIndex, const PictureView&, int) {});
        std::once_flag made;
        std::unique_ptr<trace::LightMapper> mapper;
        std::atomic<std::int64_t> spentNs {0};
        const Cost with = scan([&](FrameIndex frame, const PictureView& picture, int) {
            std::call_once(
                made, [&] { mapper = std::make_unique<trace::LightMapper>(picture, frames); });
            const auto begin = std::chrono::steady_clock::now();
            mapper->add(frame, picture);
            spentNs += std::chrono::nanoseconds(std::chrono::steady_clock::now() - begin).count();
        });
        if (!without.succeeded || !with.succeeded || !mapper->map().isComplete()) {
            state.SkipWithError("a scan failed");
            return;
        }
        shares.push_back(with.cpuSeconds / without.cpuSeconds - 1.0);
        mapMs.push_back(1e-6 * static_cast<double>(spentNs) / frames);
        state.SetIterationTime(with.seconds);
        state.counters["bytes_a_frame"]
            = static_cast<double>(mapper->map().blockCount() * sizeof(std::uint16_t) + 1);
        state.counters["scan_cpu_ms"] = 1e3 * without.cpuSeconds / frames;
    }
    state.counters["map_ms"] = middle(mapMs);
    state.counters["more_cpu_share"] = middle(shares);
}

BENCHMARK(fillLightMap)->UseManualTime()->Iterations(5);

std::optional<measure::Measurement> measured(const FilmedClip& clip, const RegionSet& regions,
    const std::shared_ptr<const measure::ScanMemory>& previous, const measure::LightMapUse& map)
{
    measure::MeasureOptions options;
    options.captureRate = clip.captureRate;
    options.reference = regions.reference;
    options.goggle = regions.goggle;
    options.panel = regions.panel;
    auto measurement = measure::measureClip(clip.file, options, {}, {}, previous, map);
    return measurement.hasValue() ? std::optional(std::move(measurement).value()) : std::nullopt;
}

/// Another panel in a minute at 240 frames/s, with the map in memory or read from the cache folder;
/// index, map and the timing of all presses included. Target: a second. (A lamp's border that is
/// moved a little cuts blocks which its edge lies in: there the map does not suffice.)
void secondLook(benchmark::State& state, bool fromFolder)
{
    const FilmedClip clip = minuteOfPresses();
    const auto folder = clip.file.parent_path() / "map";
    const auto first = measured(clip, clip.regions, nullptr, {true, folder, false});
    RegionSet moved = clip.regions;
    moved.panel->height -= 20;
    std::vector<double> scanMs;
    for (auto _ : state) {
        std::optional<measure::Measurement> looked;
        const Cost cost = costOf([&] {
            looked
                = measured(clip, moved, fromFolder ? nullptr : first->memory, {true, folder, true});
            return looked.has_value();
        });
        if (!cost.succeeded || looked->result.scan.framesDecoded > 0) {
            state.SkipWithError("the second look decoded");
            return;
        }
        scanMs.push_back(1e3 * looked->result.scan.seconds);
        state.SetIterationTime(cost.seconds);
    }
    state.counters["first_look_s"] = first->result.scan.seconds;
    state.counters["without_timing_ms"] = middle(scanMs);
    state.counters["presses"] = static_cast<double>(first->result.presses.size());
}

BENCHMARK_CAPTURE(secondLook, in_memory, false)->UseManualTime()->Iterations(3);
BENCHMARK_CAPTURE(secondLook, from_folder, true)->UseManualTime()->Iterations(3);

} // namespace

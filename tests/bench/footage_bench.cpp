// SPDX-License-Identifier: GPL-3.0-or-later
// Access to single frames against plain decoding, in the same run and taking turns, so that a busy
// machine slows both; first frames and memory of a long scan.
#include "core/footage/frame_scan.h"
#include "core/footage/frame_source.h"
#include "tests/bench/bench_clips.h"
#include "tests/bench/measured_process.h"
#include "tests/bench/plain_access.h"

#include <algorithm>
#include <benchmark/benchmark.h>
#include <random>

namespace {

using namespace twinlamp;
using namespace twinlamp::bench;
using footage::ClipIndex;

std::shared_ptr<const ClipIndex> indexOf(const std::filesystem::path& clip)
{
    auto index = footage::indexClip(clip, {}, {});
    return index.hasValue() ? std::make_shared<const ClipIndex>(std::move(index).value()) : nullptr;
}

double quantile(std::vector<double> values, double share)
{
    std::ranges::sort(values);
    const auto at = static_cast<std::size_t>(share * static_cast<double>(values.size() - 1) + 0.5);
    return values.at(at);
}

bool scan(const ClipIndex& index, FrameRange range)
{
    const auto report = footage::scanFrames(
        index, range, [](FrameIndex, const footage::PictureView&, int) {}, {}, {});
    return report.hasValue() && report.value().missing.empty();
}

/// Exact access to frames in random order against plain decoding from the nearest keyframe.
/// Target: ratio of the 95th percentiles 1.3 or less.
void randomAccess(benchmark::State& state, const BenchClip& clip)
{
    const std::filesystem::path file = madeClip(clip);
    const auto index = indexOf(file);
    constexpr std::size_t noCache = 1;
    auto source = footage::FrameSource::open(index, {noCache, 1});
    PlainAccess plain(file);
    constexpr unsigned seed = 1;
    std::mt19937 random(seed);
    std::vector<double> own;
    std::vector<double> other;
    for (auto _ : state) {
        const FrameIndex k {static_cast<std::int64_t>(random()) % index->frameCount()};
        const FrameIndex keyframe = *(std::ranges::upper_bound(index->keyframes, k) - 1);
        const auto ptsOf = [&](FrameIndex frame) {
            return index->entries[static_cast<std::size_t>(frame.value)].ptsTicks;
        };
        const Cost exact = costOf([&] { return static_cast<bool>(source->frame(k)); });
        const Cost bare = costOf([&] { return plain.decode(ptsOf(keyframe), ptsOf(k)); });
        if (!exact.succeeded || !bare.succeeded) {
            state.SkipWithError("a frame did not come out");
            return;
        }
        own.push_back(exact.seconds * 1e3);
        other.push_back(bare.seconds * 1e3);
        state.SetIterationTime(exact.seconds);
    }
    state.counters["p50_ms"] = quantile(own, 0.5);
    state.counters["p95_ms"] = quantile(own, 0.95);
    state.counters["plain_p50_ms"] = quantile(other, 0.5);
    state.counters["plain_p95_ms"] = quantile(other, 0.95);
    state.counters["p95_ratio"] = quantile(own, 0.95) / quantile(other, 0.95);
}

/// Steps back through a clip, one frame at a time, from the cache where it holds the GOP.
void stepBack(benchmark::State& state, const BenchClip& clip)
{
    const auto index = indexOf(madeClip(clip));
    auto source = footage::FrameSource::open(index, {});
    std::int64_t k = index->frameCount();
    std::vector<double> steps;
    for (auto _ : state) {
        k = k == 0 ? index->frameCount() - 1 : k - 1;
        const Cost cost = costOf([&] { return static_cast<bool>(source->frame({k})); });
        steps.push_back(cost.seconds * 1e3);
        state.SetIterationTime(cost.seconds);
    }
    state.counters["p50_ms"] = quantile(steps, 0.5);
    state.counters["p95_ms"] = quantile(steps, 0.95);
}

/// Index and first 200 frames of a clip that was never seen. Target of the issue for the first
/// onset mark: 1 s.
void firstFrames(benchmark::State& state, const BenchClip& clip)
{
    const std::filesystem::path file = madeClip(clip);
    constexpr std::int64_t frames = 200;
    for (auto _ : state) {
        const Cost cost = costOf([&] {
            const auto index = indexOf(file);
            return index && scan(*index, {{0}, {frames}});
        });
        state.SetIterationTime(cost.seconds);
        state.counters["cpu_s"] = cost.cpuSeconds;
    }
}

/// Peak of memory while 10 s of 1080p at 1000 frames a second are indexed and scanned. Target:
/// below 600 MiB.
void memoryOfALongScan(benchmark::State& state, const BenchClip& clip)
{
    const std::filesystem::path file = madeClip(clip);
    for (auto _ : state) {
        const Cost cost = costInProcess([&] {
            const auto index = indexOf(file);
            return index && index->frameCount() == std::int64_t {clip.frames} * clip.copies
                && scan(*index, index->all());
        });
        if (!cost.succeeded) {
            state.SkipWithError("the scan failed");
            return;
        }
        state.SetIterationTime(cost.seconds);
        state.counters["peak_MiB"] = cost.peakMib;
        state.counters["frames_per_s"]
            = static_cast<double>(clip.frames) * clip.copies / cost.seconds;
    }
}

} // namespace

BENCHMARK_CAPTURE(randomAccess, h264_1080p, h264Clip())->UseManualTime()->Iterations(120);
BENCHMARK_CAPTURE(randomAccess, hevc_1080p, hevcClip())->UseManualTime()->Iterations(60);
BENCHMARK_CAPTURE(stepBack, h264_1080p, h264Clip())->UseManualTime()->Iterations(200);
BENCHMARK_CAPTURE(firstFrames, h264_720p, h264SmallClip())->UseManualTime()->Iterations(3);
BENCHMARK_CAPTURE(memoryOfALongScan, h264_1080p, longClip())->UseManualTime()->Iterations(1);

BENCHMARK_MAIN();

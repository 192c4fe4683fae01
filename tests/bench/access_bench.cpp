// SPDX-License-Identifier: GPL-3.0-or-later
// A step key held down: the window's own way to its frames (thread, read-ahead, conversion to
// pixels), a wish every sixtieth of a second, over many GOPs. What counts is the longest wait.
#include "tests/bench/bench_clips.h"
#include "ui/jobs/frame_fetcher.h"

#include <QCoreApplication>
#include <QElapsedTimer>
#include <QImage>
#include <QThread>

#include <algorithm>
#include <benchmark/benchmark.h>
#include <chrono>
#include <thread>
#include <vector>

namespace {

using namespace twinlamp;
using namespace twinlamp::bench;
using Clock = std::chrono::steady_clock;

constexpr std::chrono::microseconds stepEvery {16'667};
constexpr int stepsHeld = 600;

BenchClip longGops()
{
    return {"h264-1080p-gop250.mp4", "1920x1080", "240", 500, 1,
        "-c:v libx264 -preset veryfast -b:v 77M -g 250 -keyint_min 250 -sc_threshold 0 -bf 2 "
        "-pix_fmt yuv420p"};
}

double msSince(Clock::time_point then)
{
    return std::chrono::duration<double, std::milli>(Clock::now() - then).count();
}

/// Waits for a frame while the event loop turns; how long it took, ms.
double waitFor(ui::FrameFetcher& fetcher, FrameIndex wanted, FrameIndex& shown)
{
    const Clock::time_point asked = Clock::now();
    fetcher.show(wanted);
    constexpr double patienceMs = 10'000.0;
    while (shown != wanted && msSince(asked) < patienceMs) {
        QCoreApplication::processEvents(QEventLoop::AllEvents);
        std::this_thread::sleep_for(std::chrono::microseconds(100));
    }
    return msSince(asked);
}

void holdStepKey(benchmark::State& state, const BenchClip& clip, int way)
{
    const auto made = footage::indexClip(madeClip(clip), {}, {});
    if (!made.hasValue()) {
        state.SkipWithError("no index");
        return;
    }
    const auto index = std::make_shared<const footage::ClipIndex>(made.value());
    for (auto _ : state) {
        ui::FrameFetcher fetcher;
        FrameIndex shown {-1};
        QObject::connect(&fetcher, &ui::FrameFetcher::frameReady,
            [&shown](FrameIndex frame, const QImage&) { shown = frame; });
        fetcher.open(index);
        const std::int64_t steps = std::min<std::int64_t>(stepsHeld, index->frameCount() - 1);
        std::int64_t k = way > 0 ? 0 : index->frameCount() - 1;
        waitFor(fetcher, {k}, shown);
        // A hand rests a moment on the first frame before the key repeats.
        std::this_thread::sleep_for(std::chrono::milliseconds(400));
        std::vector<double> waits;
        for (std::int64_t step = 0; step < steps; ++step) {
            k += way;
            const Clock::time_point next = Clock::now() + stepEvery;
            waits.push_back(waitFor(fetcher, {k}, shown));
            std::this_thread::sleep_until(next);
        }
        std::ranges::sort(waits);
        state.counters["steps"] = static_cast<double>(waits.size());
        state.counters["p50_ms"] = waits[waits.size() / 2];
        state.counters["p95_ms"] = waits[waits.size() * 95 / 100];
        state.counters["longest_ms"] = waits.back();
        state.counters["over_50_ms"] = static_cast<double>(
            std::ranges::count_if(waits, [](double ms) { return ms > 50.0; }));
        state.SetIterationTime(waits.back() / 1e3);
    }
}

} // namespace

// Targets: none over 50 ms with GOPs of 30; long GOPs are only reported.
BENCHMARK_CAPTURE(holdStepKey, on_h264_1080p, repeated(h264Clip(), 3), 1)
    ->UseManualTime()
    ->Iterations(1);
BENCHMARK_CAPTURE(holdStepKey, back_h264_1080p, repeated(h264Clip(), 3), -1)
    ->UseManualTime()
    ->Iterations(1);
BENCHMARK_CAPTURE(holdStepKey, back_h264_720p, repeated(h264SmallClip(), 2), -1)
    ->UseManualTime()
    ->Iterations(1);
BENCHMARK_CAPTURE(holdStepKey, back_hevc_1080p, repeated(hevcClip(), 3), -1)
    ->UseManualTime()
    ->Iterations(1);
BENCHMARK_CAPTURE(holdStepKey, back_h264_gop250, longGops(), -1)->UseManualTime()->Iterations(1);

int main(int argc, char** argv)
{
    qputenv("QT_QPA_PLATFORM", "offscreen");
    QCoreApplication application(argc, argv);
    benchmark::Initialize(&argc, argv);
    benchmark::RunSpecifiedBenchmarks();
    return 0;
}

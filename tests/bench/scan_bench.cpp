// SPDX-License-Identifier: GPL-3.0-or-later
// The full scan of a clip, its lamps, panel and room read, against two yardsticks: plain decoding
// by FFmpeg's own program and the straightforward loop over OpenCV's reader. In the same run and
// taking turns, so that a busy machine slows all of them. Ratios of processor time stand beside
// those of the clock: they hold on a busy machine too.
#include "core/measure/region_scan.h"
#include "tests/bench/bench_clips.h"
#include "tests/bench/measured_process.h"
#ifdef TWINLAMP_BENCH_OPENCV
#include "tests/bench/opencv_reader.h"
#endif

#include <algorithm>
#include <benchmark/benchmark.h>
#include <functional>
#include <vector>

namespace {

using namespace twinlamp;
using namespace twinlamp::bench;

constexpr int rounds = 5;
// Clips of some seconds: a start-up of a few milliseconds is then what it is to a tester.
constexpr int copies = 4;

/// Regions as a tester places them: lamps of some 5 % of the picture's width, a panel on half of
/// it.
measure::RegionRequest regionsOf(const footage::ClipIndex& index)
{
    const int width = index.info.orientation.storedWidthPx;
    const int height = index.info.orientation.storedHeightPx;
    measure::RegionRequest request;
    request.reference = RectPx {width / 8, height / 2, width / 20, width / 20};
    request.goggle = RectPx {width * 5 / 8, height / 2, width / 20, width / 20};
    request.panel = RectPx {width * 3 / 8, height / 5, width / 2, height * 3 / 5};
    request.referenceRows = 12;
    request.goggleColumns = 12;
    request.goggleRows = 12;
    request.room = true;
    return request;
}

/// From the file to the light of every frame, its index included: the other ways begin there too.
bool scan(const std::filesystem::path& file)
{
    const auto index = footage::indexClip(file, {}, {});
    if (!index.hasValue()) {
        return false;
    }
    const auto scanned = measure::scanRegions(index.value(), regionsOf(index.value()), {}, {});
    return scanned.hasValue() && scanned.value().missing.empty();
}

double middleOf(std::vector<double> values)
{
    std::ranges::sort(values);
    return values.at(values.size() / 2);
}

void compare(
    benchmark::State& state, const std::filesystem::path& file, const std::function<Cost()>& other)
{
    std::vector<double> ratios;
    std::vector<double> cpuRatios;
    for (auto _ : state) {
        const Cost theirs = other();
        const Cost own = costOf([&] { return scan(file); });
        if (!theirs.succeeded || !own.succeeded) {
            state.SkipWithError("a scan failed");
            return;
        }
        ratios.push_back(theirs.seconds / own.seconds);
        cpuRatios.push_back(theirs.cpuSeconds / own.cpuSeconds);
        state.SetIterationTime(own.seconds);
    }
    state.counters["ratio"] = middleOf(ratios);
    state.counters["cpu_ratio"] = middleOf(cpuRatios);
    state.counters["least_ratio"] = *std::ranges::min_element(ratios);
}

/// Target: ratio 1.2 or more for GOPs of 30, never below 0.95.
void scanAgainstFfmpeg(benchmark::State& state, const BenchClip& clip)
{
    const std::filesystem::path file = madeClip(clip);
    compare(state, file, [&] {
        return costOfProgram({"ffmpeg", "-v", "error", "-nostdin", "-threads", "2", "-i",
            file.string(), "-an", "-f", "null", "-"});
    });
}

#ifdef TWINLAMP_BENCH_OPENCV
/// Target: ratio 1.6 or more.
void scanAgainstOpenCv(benchmark::State& state, const BenchClip& clip)
{
    const std::filesystem::path file = madeClip(clip);
    const auto index = footage::indexClip(file, {}, {});
    if (!index.hasValue()) {
        state.SkipWithError("no index");
        return;
    }
    const measure::RegionRequest regions = regionsOf(index.value());
    const auto values = 2 * static_cast<std::size_t>(index.value().frameCount());
    compare(state, file, [&] {
        return costOf([&] {
            return meansByOpenCv(file, *regions.reference, *regions.goggle).size() == values;
        });
    });
}
#endif

} // namespace

BENCHMARK_CAPTURE(scanAgainstFfmpeg, h264_1080p, repeated(h264Clip(), copies))
    ->UseManualTime()
    ->Iterations(rounds);
BENCHMARK_CAPTURE(scanAgainstFfmpeg, hevc_1080p, repeated(hevcClip(), copies))
    ->UseManualTime()
    ->Iterations(rounds);
BENCHMARK_CAPTURE(scanAgainstFfmpeg, h264_720p, repeated(h264SmallClip(), copies))
    ->UseManualTime()
    ->Iterations(rounds);
BENCHMARK_CAPTURE(scanAgainstFfmpeg, h264_gop250, longGopClip())
    ->UseManualTime()
    ->Iterations(rounds);
BENCHMARK_CAPTURE(scanAgainstFfmpeg, hevc_10bit, repeated(deepClip(), copies))
    ->UseManualTime()
    ->Iterations(rounds);
BENCHMARK_CAPTURE(scanAgainstFfmpeg, mjpeg_1080p, repeated(jpegClip(), copies))
    ->UseManualTime()
    ->Iterations(rounds);
#ifdef TWINLAMP_BENCH_OPENCV
BENCHMARK_CAPTURE(scanAgainstOpenCv, h264_1080p, repeated(h264Clip(), copies))
    ->UseManualTime()
    ->Iterations(rounds);
BENCHMARK_CAPTURE(scanAgainstOpenCv, hevc_10bit, repeated(deepClip(), copies))
    ->UseManualTime()
    ->Iterations(rounds);
#endif

BENCHMARK_MAIN();

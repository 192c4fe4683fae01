// SPDX-License-Identifier: GPL-3.0-or-later
// A comparison as the window asks for it: two settings of 200 presses in 5 runs each.
#include "core/stats/compare/rank_shift.h"
#include "core/stats/compare/run_comparison.h"
#include "core/stats/compare/spread.h"
#include "core/stats/trend/sawtooth.h"
#include "tests/core/stats/compare/simulated_link.h"

#include <benchmark/benchmark.h>

namespace {

using namespace twinlamp::stats;
using Runs = std::vector<RunLatencies>;

Runs fiveRuns(std::uint64_t seed)
{
    RandomSource random(seed);
    return simulated::runs(random, {}, 5, 40);
}

std::vector<double> pooled(const Runs& runs)
{
    std::vector<double> all;
    for (const RunLatencies& run : runs) {
        all.insert(all.end(), run.latenciesMs.begin(), run.latenciesMs.end());
    }
    return all;
}

void compareByRuns(benchmark::State& state)
{
    const Runs a = fiveRuns(1);
    const Runs b = fiveRuns(2);
    constexpr double limitMs = 35.0;
    for (auto _ : state) {
        benchmark::DoNotOptimize(compareShift({a, b}));
        benchmark::DoNotOptimize(compareSpread({a, b}));
        benchmark::DoNotOptimize(
            compareLateShare({lateCounts(a, limitMs), lateCounts(b, limitMs)}));
    }
}

void compareAsIndependent(benchmark::State& state)
{
    const std::vector<double> a = pooled(fiveRuns(1));
    const std::vector<double> b = pooled(fiveRuns(2));
    for (auto _ : state) {
        benchmark::DoNotOptimize(spreadRatio({a, b}));
        benchmark::DoNotOptimize(hodgesLehmannShift({a, b}));
        benchmark::DoNotOptimize(mannWhitney({a, b}));
        benchmark::DoNotOptimize(superiority({a, b}));
    }
}

/// 40 presses over a minute, no rate told.
void findSawtooth(benchmark::State& state)
{
    RandomSource random(3);
    TimedLatencies run;
    double at = 0.0;
    for (int i = 0; i < 40; ++i) {
        at += 1000.0 + 1000.0 * random.unit();
        run.atMs.push_back(at);
        run.latencyMs.push_back(20.0 + 10.0 * random.unit());
    }
    const std::vector<TimedLatencies> runs {run};
    for (auto _ : state) {
        benchmark::DoNotOptimize(sawtooth(runs));
    }
}

} // namespace

BENCHMARK(compareByRuns);
BENCHMARK(compareAsIndependent);
BENCHMARK(findSawtooth);
BENCHMARK_MAIN();

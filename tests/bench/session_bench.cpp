// SPDX-License-Identifier: GPL-3.0-or-later
// A session of a whole campaign: 200 settings, 1000 runs, 100 000 presses.
#include "core/session/store/merge_file.h"
#include "tests/bench/bench_sessions.h"

#include <algorithm>
#include <benchmark/benchmark.h>
#include <chrono>
#include <vector>

namespace {

using namespace twinlamp;
namespace store = session::store;
using Clock = std::chrono::steady_clock;

constexpr bench::CampaignSize wholeCampaign;

/// Target: below 1000 ms.
void openSession(benchmark::State& state)
{
    const auto path = bench::campaign(wholeCampaign);
    const auto mode = static_cast<store::OpenMode>(state.range(0));
    std::size_t presses = 0;
    for (auto _ : state) {
        const auto file = store::SessionFile::open(path, {mode, {}, {}});
        presses = 0;
        for (const session::Clip& clip : file->session().clips) {
            presses += clip.measurement->presses.size();
        }
        benchmark::DoNotOptimize(presses);
    }
    state.counters["presses"] = static_cast<double>(presses);
}

double msSince(Clock::time_point start)
{
    return std::chrono::duration<double, std::milli>(Clock::now() - start).count();
}

double quantile(std::vector<double> values, double share)
{
    std::ranges::sort(values);
    return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
}

/// The edits that a tester makes at the bench, in turn.
Result<session::Edit> nextEdit(const session::Session& session, std::size_t number)
{
    const session::Clip& clip = session.clips[(number * 37) % session.clips.size()];
    const session::LinkSetting& setting = session.settings[(number * 13) % session.settings.size()];
    const session::PressAddress at {clip.id, static_cast<int>(number % 100)};
    switch (number % 5) {
    case 0:
        return session::setAsidePress(session, at, "hand shook " + std::to_string(number));
    case 1:
        return session::moveMark(session, at, session::Mark::FirstLight,
            clip.measurement->presses[number % 100].firstLight.value()
                + Latency {static_cast<std::int64_t>(number)});
    case 2: {
        session::Conditions conditions = setting.conditions;
        conditions.distanceM = static_cast<double>(number);
        return session::changeConditions(session, setting.id, conditions);
    }
    case 3:
        return session::setReadout(session, at, 20.0 + 0.001 * static_cast<double>(number));
    default:
        return session::renameSetting(session, setting.id, "renamed " + std::to_string(number));
    }
}

/// Target: p95 below 20 ms, from the call to the acknowledgement on disk.
void commitChange(benchmark::State& state)
{
    auto file = store::SessionFile::open(
        bench::changeableCampaign(wholeCampaign), {store::OpenMode::Write, {}, {}});
    std::vector<double> timesMs;
    std::size_t number = 0;
    for (auto _ : state) {
        const auto start = Clock::now();
        const auto edit = nextEdit(file->session(), number++);
        if (!edit || !file->apply(*edit)) {
            state.SkipWithError("a change was refused");
            break;
        }
        timesMs.push_back(msSince(start));
    }
    if (!timesMs.empty()) {
        state.counters["p50_ms"] = quantile(timesMs, 0.5);
        state.counters["p95_ms"] = quantile(timesMs, 0.95);
        state.counters["max_ms"] = quantile(timesMs, 1.0);
    }
}

/// A clip of 100 presses measured anew: its traces kept, its presses replaced.
void fileMeasurement(benchmark::State& state)
{
    auto file = store::SessionFile::open(
        bench::changeableCampaign(wholeCampaign), {store::OpenMode::Write, {}, {}});
    std::vector<double> timesMs;
    std::size_t number = 0;
    for (auto _ : state) {
        const session::Clip clip
            = file->session().clips[(number++ * 37) % file->session().clips.size()];
        session::ClipMeasurement measurement = *clip.measurement;
        measurement.presses.front().latency = Latency {static_cast<std::int64_t>(number)};
        const auto start = Clock::now();
        const auto edit = session::setMeasurement(file->session(), clip.id, std::move(measurement));
        if (!edit || !file->apply(*edit)) {
            state.SkipWithError("a measurement was refused");
            break;
        }
        timesMs.push_back(msSince(start));
    }
    if (!timesMs.empty()) {
        state.counters["p95_ms"] = quantile(timesMs, 0.95);
    }
}

void readHistory(benchmark::State& state)
{
    auto file = store::SessionFile::open(
        bench::changeableCampaign(wholeCampaign), {store::OpenMode::Write, {}, {}});
    for (std::size_t number = 0; number < 2000; ++number) {
        if (const auto edit = nextEdit(file->session(), number); !edit || !file->apply(*edit)) {
            state.SkipWithError("a change was refused");
            return;
        }
    }
    for (auto _ : state) {
        benchmark::DoNotOptimize(file->history());
    }
}

/// Another campaign of the same size into this one, traces and history included.
void mergeCampaign(benchmark::State& state)
{
    const auto other = bench::campaign(wholeCampaign);
    for (auto _ : state) {
        state.PauseTiming();
        {
            const auto path = bench::changeableCampaign({20, 5, 100});
            auto here = store::SessionFile::open(path, {store::OpenMode::Write, {}, {}});
            const auto there = store::SessionFile::open(other, {store::OpenMode::ReadOnly, {}, {}});
            state.ResumeTiming();
            if (!here || !there || !store::mergeFile(*here, *there)) {
                state.SkipWithError("the merge failed");
                break;
            }
            state.PauseTiming();
        }
        state.ResumeTiming();
    }
}

/// The same again: everything is looked at, nothing is brought in.
void mergeNothingNew(benchmark::State& state)
{
    const auto other = bench::campaign(wholeCampaign);
    auto here = store::SessionFile::open(
        bench::changeableCampaign(wholeCampaign), {store::OpenMode::Write, {}, {}});
    const auto there = store::SessionFile::open(other, {store::OpenMode::ReadOnly, {}, {}});
    for (auto _ : state) {
        if (!store::mergeFile(*here, *there)) {
            state.SkipWithError("the merge failed");
            break;
        }
    }
}

BENCHMARK(openSession)
    ->Arg(static_cast<int>(store::OpenMode::Write))
    ->Arg(static_cast<int>(store::OpenMode::ReadOnly))
    ->Unit(benchmark::kMillisecond);
BENCHMARK(commitChange)->Iterations(1000)->Unit(benchmark::kMillisecond);
BENCHMARK(fileMeasurement)->Iterations(200)->Unit(benchmark::kMillisecond);
BENCHMARK(mergeCampaign)->Iterations(2)->Unit(benchmark::kMillisecond);
BENCHMARK(mergeNothingNew)->Unit(benchmark::kMillisecond);
BENCHMARK(readHistory)->Unit(benchmark::kMillisecond);

} // namespace

BENCHMARK_MAIN();

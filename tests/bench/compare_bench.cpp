// SPDX-License-Identifier: GPL-3.0-or-later
// Whole answers of a campaign of 200 settings, 1000 runs, 100 000 presses.
#include "core/report/setting_comparison.h"
#include "core/report/setting_figures.h"
#include "core/report/setting_ranking.h"
#include "core/session/store/session_file.h"
#include "tests/bench/bench_sessions.h"

#include <benchmark/benchmark.h>

namespace {

using namespace twinlamp;
namespace store = session::store;

session::Session campaign(const bench::CampaignSize& size)
{
    const auto file
        = store::SessionFile::open(bench::campaign(size), {store::OpenMode::ReadOnly, {}, {}});
    return file->session();
}

/// Two settings of the campaign, 250 presses of the `on` edge each. Target: below 1000 ms.
void compareTwo(benchmark::State& state)
{
    const session::Session session = campaign({});
    report::ComparisonOptions options;
    options.lateLimit = latencyFromMs(33.0);
    options.marginMs = 1.0;
    for (auto _ : state) {
        benchmark::DoNotOptimize(report::settingComparison(
            session, {session.settings.front().id, session.settings.back().id}, options));
    }
}

/// All 100 000 presses in two settings. Target: below 1000 ms.
void compareTwoWithAllPresses(benchmark::State& state)
{
    const session::Session session = campaign({2, 500, 100});
    report::ComparisonOptions options;
    options.lateLimit = latencyFromMs(33.0);
    for (auto _ : state) {
        benchmark::DoNotOptimize(report::settingComparison(
            session, {session.settings.front().id, session.settings.back().id}, options));
    }
}

/// All 200 settings, 19 900 pairs. Target: below 1000 ms.
void rankAll(benchmark::State& state)
{
    const session::Session session = campaign({});
    std::vector<session::SettingId> settings;
    for (const session::LinkSetting& setting : session.settings) {
        settings.push_back(setting.id);
    }
    settings.resize(static_cast<std::size_t>(state.range(0)));
    for (auto _ : state) {
        benchmark::DoNotOptimize(report::settingRanking(session, settings, {}));
    }
}

/// A clip under scan gains a press; the overview of all 200 settings follows. Target: below 16 ms.
void overviewWhilePressesAreAdded(benchmark::State& state)
{
    session::Session session = campaign({});
    report::SettingFiguresCache cache;
    benchmark::DoNotOptimize(cache.update(session));
    std::size_t number = 0;
    for (auto _ : state) {
        session::Clip& clip = session.clips[(number++ * 37) % session.clips.size()];
        session::ClipMeasurement grown = *clip.measurement;
        grown.presses.push_back(grown.presses.front());
        clip.measurement = std::move(grown);
        benchmark::DoNotOptimize(cache.update(session));
    }
}

/// Everything anew, as when a session is opened.
void overviewOfAll(benchmark::State& state)
{
    const session::Session session = campaign({});
    for (auto _ : state) {
        report::SettingFiguresCache cache;
        benchmark::DoNotOptimize(cache.update(session));
    }
}

BENCHMARK(overviewWhilePressesAreAdded)->Unit(benchmark::kMillisecond);
BENCHMARK(overviewOfAll)->Unit(benchmark::kMillisecond);
BENCHMARK(compareTwo)->Unit(benchmark::kMillisecond);
BENCHMARK(compareTwoWithAllPresses)->Unit(benchmark::kMillisecond);
BENCHMARK(rankAll)->Arg(10)->Arg(24)->Arg(200)->Unit(benchmark::kMillisecond);

} // namespace

BENCHMARK_MAIN();

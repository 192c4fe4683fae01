// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/app/bench_session.h"

#include "core/session/edit.h"
#include "core/session/store/file_result.h"

#include <gtest/gtest.h>

namespace twinlamp::tests {

namespace {

namespace store = session::store;

void answer(Press& press, double latencyMs, const BenchSetting& setting)
{
    press.latency = latencyFromMs(latencyMs);
    press.firstLight = *press.reference + *press.latency;
    press.fullFrameLatency = latencyFromMs(latencyMs + 8.0);
    press.fullFrame = *press.reference + *press.fullFrameLatency;
    press.uncertainty = latencyFromMs(0.1);
    press.parts = {{UncertaintySource::FirstLight, 0.05, false},
        {UncertaintySource::ZeroCorrection, setting.commonMs, true}};
}

std::vector<Press> pressesOf(
    const stats::RunLatencies& run, const BenchSetting& setting, stats::RandomSource& random)
{
    std::vector<Press> presses;
    const int answered = setting.presses - setting.lost;
    double at = 300.0;
    for (int i = 0; i < setting.presses; ++i) {
        for (const Edge edge : {Edge::On, Edge::Off}) {
            Press& press = presses.emplace_back();
            press.index = static_cast<int>(presses.size()) - 1;
            press.edge = edge;
            press.reference = realTimeFromMs(edge == Edge::On ? at : at + 250.0);
            if (i < answered) {
                const double latency = run.latenciesMs[static_cast<std::size_t>(i)];
                answer(press, edge == Edge::On ? latency : latency + 2.0, setting);
            } else {
                press.flags = {Flag::NoResponse};
            }
        }
        at += setting.everyMs.value_or(800.0 + 400.0 * random.unit());
    }
    return presses;
}

void fileRun(
    store::SessionFile& file, const BenchSetting& setting, int number, std::vector<Press> presses)
{
    ClipResult result;
    const std::string name = setting.name + " " + std::to_string(number) + ".mp4";
    result.clip.file = name;
    result.clip.sha256 = name; // stands for the content
    result.clip.captureRate = {480, 1};
    result.presses = std::move(presses);
    measure::MeasureOptions options;
    options.captureRate = FrameRate {480, 1};
    options.zeroMs = setting.zeroMs;
    const auto filed
        = store::fileResult(file, {setting.name, "run " + std::to_string(number), setting.rig},
            file.path().parent_path() / name, std::move(result), options);
    ASSERT_TRUE(filed) << filed.error().detail;
}

void change(store::SessionFile& file, const Result<session::Edit>& edit)
{
    ASSERT_TRUE(edit) << edit.error().detail;
    const auto applied = file.apply(*edit);
    ASSERT_TRUE(applied) << applied.error().detail;
}

} // namespace

void fileCampaign(const std::filesystem::path& path, const std::vector<BenchSetting>& settings,
    std::uint64_t seed, std::optional<double> lateLimitMs)
{
    auto file = store::SessionFile::create(path, "an invented campaign");
    ASSERT_TRUE(file) << file.error().detail;
    stats::RandomSource random(seed);
    for (const BenchSetting& setting : settings) {
        const auto id = session::newId<session::SettingId>();
        change(*file, session::addSetting(file->session(), id, setting.name, setting.conditions));
        for (int number = 1; number <= setting.runs; ++number) {
            const auto run = stats::simulated::run(random, setting.link, setting.presses);
            fileRun(*file, setting, number, pressesOf(run, setting, random));
        }
    }
    if (lateLimitMs) {
        session::SessionInfo info = session::infoOf(file->session());
        info.lateLimit = latencyFromMs(*lateLimitMs);
        change(*file, session::changeInfo(file->session(), info));
    }
    ASSERT_TRUE(file->close());
}

} // namespace twinlamp::tests

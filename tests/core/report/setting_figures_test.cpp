// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/setting_figures.h"

#include <functional>
#include <gtest/gtest.h>
#include <random>
#include <utility>

namespace twinlamp::report {
namespace {

/// Three settings of two runs, a clip a run, invented latencies.
session::Session someSession()
{
    session::Session session;
    std::mt19937_64 random(5);
    std::normal_distribution<double> scatter(25.0, 3.0);
    for (std::int64_t setting = 1; setting <= 3; ++setting) {
        session.settings.push_back({{setting}, setting, "setting " + std::to_string(setting), {}});
        session.settings.back().conditions.linkFrameRate = FrameRate {60, 1};
        for (int k = 0; k < 2; ++k) {
            const auto run = static_cast<std::int64_t>(session.runs.size()) + 1;
            session.runs.push_back({{run}, run, {setting}, "run " + std::to_string(run), ""});
            session::ClipMeasurement made;
            made.clip.captureRate = {480, 1};
            for (int press = 0; press < 30; ++press) {
                Press& one = made.presses.emplace_back();
                one.index = press;
                one.reference = realTimeFromMs(100.0 + 871.0 * press);
                one.latency = latencyFromMs(scatter(random));
                one.firstLight = *one.reference + *one.latency;
            }
            session::Clip& clip = session.clips.emplace_back();
            clip.id = {run};
            clip.place = run;
            clip.run = {run};
            clip.measurement = std::move(made);
        }
    }
    return session;
}

std::vector<SettingFigures> fresh(const session::Session& session)
{
    SettingFiguresCache cache;
    return cache.update(session);
}

void addPress(session::Clip& clip, double latencyMs)
{
    session::ClipMeasurement grown = *clip.measurement;
    Press press = grown.presses.back();
    ++press.index;
    press.reference = *press.reference + latencyFromMs(900.0);
    press.latency = latencyFromMs(latencyMs);
    grown.presses.push_back(press);
    clip.measurement = std::move(grown);
}

TEST(SettingFiguresCache, EveryChangeShowsAsIfWorkedOutAnew)
{
    using Change = std::function<void(session::Session&)>;
    const std::vector<std::pair<const char*, Change>> changes {
        {"a press within the axis", [](auto& s) { addPress(s.clips[2], 25.0); }},
        {"a press far away", [](auto& s) { addPress(s.clips[2], 90.0); }},
        {"a press set aside",
            [](auto& s) {
                s.clips[0].corrections = {{3, {}, session::HandChoice {false, "hand shook"}}};
            }},
        {"taken back", [](auto& s) { s.clips[0].corrections.clear(); }},
        {"a late limit", [](auto& s) { s.lateLimit = latencyFromMs(28.0); }},
        {"another frame rate",
            [](auto& s) {
                s.settings[1].conditions.linkFrameRate = FrameRate {120, 1};
            }},
        {"a name, which changes no figure", [](auto& s) { s.settings[0].name = "renamed"; }},
        {"a clip that is not measured", [](auto& s) { s.clips[5].measurement = {}; }},
        {"a doubt about regions",
            [](auto& s) {
                session::ClipMeasurement doubted = *s.clips[1].measurement;
                doubted.notes.push_back({"located-unsure", {}});
                s.clips[1].measurement = std::move(doubted);
            }},
        {"a clip in another run", [](auto& s) { s.clips[4].run = {1}; }},
        {"settings in another order", [](auto& s) { std::swap(s.settings[0], s.settings[2]); }},
        {"a setting gone",
            [](auto& s) {
                s.settings.pop_back();
                std::erase_if(s.runs, [](const auto& run) { return run.setting.value == 1; });
                std::erase_if(s.clips, [](const auto& clip) { return clip.run.value <= 2; });
            }},
        {"nothing left", [](auto& s) { s = {}; }},
    };
    session::Session session = someSession();
    SettingFiguresCache cache;
    EXPECT_EQ(cache.update(session), fresh(session));
    EXPECT_EQ(cache.update(session), fresh(session)) << "nothing changed";
    for (const auto& [name, change] : changes) {
        change(session);
        EXPECT_EQ(cache.update(session), fresh(session)) << name;
    }
}

TEST(SettingFiguresCache, AllHistogramsAreOnOneAxisAndLoseNoPress)
{
    session::Session session = someSession();
    addPress(session.clips[0], 140.0);
    const auto figures = fresh(session);
    ASSERT_EQ(figures.size(), 3U);
    for (const SettingFigures& one : figures) {
        EXPECT_EQ(one.histogram.axis, figures.front().histogram.axis);
        std::int64_t counted = one.histogram.under + one.histogram.over;
        for (const std::int64_t count : one.histogram.counts) {
            counted += count;
        }
        EXPECT_EQ(counted, static_cast<std::int64_t>(one.latencies.size()));
    }
    EXPECT_EQ(figures[0].latencies.size(), 61U);
}

} // namespace
} // namespace twinlamp::report

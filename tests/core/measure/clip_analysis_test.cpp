// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/scene.h"
#include "core/film/trace_render.h"
#include "core/film/truth.h"
#include "core/measure/clip_analysis.h"

#include <cmath>
#include <gtest/gtest.h>
#include <spdlog/fmt/fmt.h>
#include <string>
#include <vector>

namespace twinlamp::measure {

namespace {

/// Press by press errors of a filmed scene, from region light without encoding.
struct Errors
{
    int missing = 0;
    int invented = 0;
    int unanswered = 0;
    std::vector<double> latencyMs;
    std::vector<double> onsetMs;
    int covered = 0;
    std::optional<double> newFrameMs;
};

/// The scene's region light, its clock set forward by so much.
Analysis analysed(const film::Scene& scene, const MeasureOptions& options, double forwardMs)
{
    const ClipTraces traces = film::renderTraces(scene);
    const film::Truth truth = film::truthOf(scene);
    std::vector<double> startMs;
    for (const RealTime start : traces.exposureStart) {
        startMs.push_back(toMs(start) + forwardMs);
    }
    const std::vector<float> unclipped(startMs.size(), 0.0F);
    AnalysisInput input;
    input.reference = traces.reference;
    input.goggle = traces.goggle;
    input.referenceHigh = unclipped;
    input.goggleHigh = unclipped;
    input.startMs = startMs;
    input.frameIntervalMs = truth.clip.captureRate.intervalMs();
    input.storedRows = truth.clip.heightPx;
    input.referenceStored = truth.regions.reference;
    input.goggleStored = truth.regions.goggle;
    return analyseClip(input, options);
}

Errors measureScene(const std::string& json, std::optional<double> exposureMs,
    std::optional<FrameRate> linkFrameRate = std::nullopt)
{
    const auto scene = film::parseScene(json, "test.json");
    if (!scene) {
        ADD_FAILURE() << scene.error().detail;
        return {};
    }
    const film::Truth truth = film::truthOf(*scene);
    MeasureOptions options;
    options.exposureMs = exposureMs;
    options.linkFrameRate = linkFrameRate;
    const Analysis analysis = analysed(*scene, options, 0.0);

    Errors errors;
    if (analysis.presses.size() != truth.presses.size()) {
        errors.missing
            = static_cast<int>(truth.presses.size()) - static_cast<int>(analysis.presses.size());
        return errors;
    }
    for (std::size_t i = 0; i < truth.presses.size(); ++i) {
        const Press& seen = analysis.presses[i];
        const Press& real = truth.presses[i];
        errors.invented += seen.edge != real.edge || (seen.latency && !real.latency) ? 1 : 0;
        errors.unanswered += real.latency && !seen.latency ? 1 : 0;
        if (seen.reference && real.reference) {
            errors.onsetMs.push_back(toMs(*seen.reference) - toMs(*real.reference));
        }
        if (seen.latency && real.latency) {
            errors.latencyMs.push_back(toMs(*seen.latency) - toMs(*real.latency));
            errors.covered += std::abs(errors.latencyMs.back()) <= toMs(*seen.uncertainty) ? 1 : 0;
        }
    }
    return errors;
}

double rms(const std::vector<double>& values)
{
    double sum = 0.0;
    for (const double value : values) {
        sum += value * value;
    }
    return std::sqrt(sum / static_cast<double>(std::max<std::size_t>(1, values.size())));
}

std::string sceneJson(const std::string& rate, double exposureMs, double linkRate, double delayMs,
    double scanMs, int seed, int presses = 10)
{
    return fmt::format(
        R"({{"name": "analysis test", "seed": {}, "lamps": {{"programme": {{"kind": "random", "presses": {}}}}},
        "link_camera": {{"frame_rate": {}}}, "link": {{"delay_ms": {}}}, "panel": {{"scan_ms": {}}},
        "camera": {{"capture_rate": {}, "exposure_ms": {}}}}})",
        seed, presses, linkRate, delayMs, scanMs, rate, exposureMs);
}

struct Setting
{
    const char* rate;
    double exposureMs;
    double linkRateHz;
    double delayMs;
    double scanMs;
};

class CleanScene : public ::testing::TestWithParam<Setting>
{
};

TEST_P(CleanScene, FindsEveryPressWithinATenthOfAFrame)
{
    const Setting s = GetParam();
    const Errors errors = measureScene(
        sceneJson(s.rate, s.exposureMs, s.linkRateHz, s.delayMs, s.scanMs, 71), s.exposureMs);
    const double frameMs = parseFrameRate(s.rate)->intervalMs();
    EXPECT_EQ(errors.missing, 0);
    EXPECT_EQ(errors.invented, 0);
    EXPECT_EQ(errors.unanswered, 0);
    ASSERT_GE(errors.latencyMs.size(), 10U);
    EXPECT_LT(rms(errors.onsetMs), 0.05 * frameMs);
    EXPECT_LT(rms(errors.latencyMs), 0.10 * frameMs);
}

INSTANTIATE_TEST_SUITE_P(Rates, CleanScene,
    ::testing::Values(Setting {"1000", 0.95, 60.0, 14.0, 12.0},
        Setting {"480", 1.9, 90.0, 9.0, 8.0}, Setting {"240", 3.9, 60.0, 18.0, 14.0},
        Setting {"960", 0.9, 120.0, 7.0, 6.0}));

// One press cannot tell the new-frame interval, and without it a partly lit first picture bends the
// figure by a frame and more.
TEST(SinglePress, IsTimedByTheLinkCamerasFrameRate)
{
    std::vector<double> latencyMs;
    for (int seed = 81; seed < 97; ++seed) {
        const Errors errors = measureScene(
            sceneJson("480", 1.9, 60.0, 12.0, 11.0, seed, 1), 1.9, FrameRate {60, 1});
        EXPECT_EQ(errors.missing, 0) << seed;
        latencyMs.insert(latencyMs.end(), errors.latencyMs.begin(), errors.latencyMs.end());
    }
    ASSERT_GE(latencyMs.size(), 30U);
    EXPECT_LT(rms(latencyMs), 0.10 * 1000.0 / 480.0);
}

// The trade's worked figure (common practice, no source): first light 25 ms after the lamp, 100 new
// frames a second.
TEST(WorkedFigure, FirstLightAt25MsIsMeasured)
{
    const Errors errors = measureScene(sceneJson("1000", 1.0, 100.0, 15.0, 10.0, 72), 1.0);
    EXPECT_EQ(errors.missing, 0);
    ASSERT_GE(errors.latencyMs.size(), 10U);
    EXPECT_LT(rms(errors.latencyMs), 0.1);
}

TEST(AnalyseClip, ShiftingAllOnsetsShiftsNoLatency)
{
    const auto scene = film::parseScene(sceneJson("480", 1.9, 60.0, 12.0, 11.0, 77), "test.json");
    ASSERT_TRUE(scene);
    MeasureOptions options;
    options.exposureMs = 1.9;
    const Analysis before = analysed(*scene, options, 0.0);
    ASSERT_GE(before.presses.size(), 10U);
    for (const double forwardMs : {7.125, 61'234.567}) {
        const Analysis after = analysed(*scene, options, forwardMs);
        ASSERT_EQ(after.presses.size(), before.presses.size());
        for (std::size_t i = 0; i < before.presses.size(); ++i) {
            const Press& was = before.presses[i];
            const Press& is = after.presses[i];
            EXPECT_EQ(is.flags, was.flags);
            EXPECT_EQ(is.accepted, was.accepted);
            ASSERT_EQ(is.latency.has_value(), was.latency.has_value());
            EXPECT_NEAR(toMs(*is.reference), toMs(*was.reference) + forwardMs, 1e-3);
            if (was.latency) {
                EXPECT_NEAR(toMs(*is.latency), toMs(*was.latency), 1e-3);
            }
        }
    }
}

TEST(AnalyseClip, GivesNoPressForADarkClip)
{
    const std::vector<float> dark(500, 0.02F);
    const std::vector<float> none(500, 0.0F);
    std::vector<double> startMs;
    for (int k = 0; k < 500; ++k) {
        startMs.push_back(k);
    }
    AnalysisInput input;
    input.reference = dark;
    input.goggle = dark;
    input.referenceHigh = none;
    input.goggleHigh = none;
    input.startMs = startMs;
    input.frameIntervalMs = 1.0;
    input.storedRows = 270;
    input.referenceStored = {0, 0, 10, 10};
    input.goggleStored = {20, 0, 10, 10};
    EXPECT_TRUE(analyseClip(input, {}).presses.empty());
}

} // namespace

} // namespace twinlamp::measure

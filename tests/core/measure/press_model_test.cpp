// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/scene.h"
#include "core/film/trace_render.h"
#include "core/film/truth.h"
#include "core/measure/clip_analysis.h"
#include "core/measure/press_model.h"
#include "core/onset/split_shape.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <iterator>
#include <random>
#include <string>
#include <vector>

namespace twinlamp::measure {
namespace {

constexpr rig::CameraTiming camera {1.0, 0.8, 0.0, 720};

std::vector<double> starts(std::size_t frames)
{
    std::vector<double> times(frames);
    for (std::size_t k = 0; k < frames; ++k) {
        times[k] = static_cast<double>(k);
    }
    return times;
}

onset::ReferenceOnset lampAt(double timeMs, double before, double after)
{
    onset::ReferenceOnset onset;
    onset.timeMs = timeMs;
    onset.before.light = before;
    onset.after.light = after;
    return onset;
}

TEST(ReferenceModel, LightsAFrameByTheShareOfItsExposureThatIsLeft)
{
    // Closed form: frame 5 is exposed from 5.0 to 5.8 ms; a lamp on from 5.6 ms lights a quarter.
    const std::vector<float> light(10, 0.0F);
    const auto times = starts(10);
    const ModelStretch model
        = referenceModel({light, times, camera, {}}, lampAt(5.6, 0.1, 0.5), {3, 8});
    EXPECT_EQ(model.firstFrame, 3);
    const std::vector<float> expected {0.1F, 0.1F, 0.2F, 0.5F, 0.5F};
    ASSERT_EQ(model.light.size(), expected.size());
    for (std::size_t i = 0; i < expected.size(); ++i) {
        EXPECT_NEAR(model.light[i], expected[i], 1e-5F) << i;
    }
}

TEST(ReferenceModel, TakesTheMeanOfRowsThatAreExposedOneAfterAnother)
{
    // Rows start at 0.2 to 0.6 ms of a frame. Off at 5.7 ms: row r of frame 5 is lit from 5 + r to
    // 5.7 of its 0.8 ms; the mean over r is (0.5 + 0.1) / 2 / 0.8 = 0.375.
    const std::vector<float> light(10, 0.0F);
    const auto times = starts(10);
    const ModelStretch model
        = referenceModel({light, times, camera, {0.2, 0.4}}, lampAt(5.7, 1.0, 0.0), {5, 6});
    EXPECT_NEAR(model.light.at(0), 0.375F, 1e-5F);
}

TEST(GoggleModel, IsTheSumOfBothStepsOverTheExposure)
{
    // A step at 10.4 ms lights half of frame 10 (10.0 to 10.8 ms); the second, 3 ms later, half of
    // frame 13.
    onset::AnswerFit fit;
    fit.startMs = 10.4;
    fit.delayMs = 3.0;
    fit.before = 0.1;
    fit.first = 0.2;
    fit.second = 0.4;
    const std::vector<float> light(20, 0.0F);
    const auto times = starts(20);
    const ModelStretch model = goggleModel({light, times, camera, {}}, fit, {0.0, 0.0}, {9, 15});
    const std::vector<float> expected {0.1F, 0.2F, 0.3F, 0.3F, 0.5F, 0.7F};
    ASSERT_EQ(model.light.size(), expected.size());
    for (std::size_t i = 0; i < expected.size(); ++i) {
        EXPECT_NEAR(model.light[i], expected[i], 1e-4F) << i;
    }
}

/// Light of one answer in two steps, with noise, and of what the fit makes of it.
struct NoisyAnswer
{
    std::vector<float> light;
    std::vector<double> startMs = starts(140);
    onset::StepShape shape {3.0, 0.8};

    explicit NoisyAnswer(double slope)
    {
        std::mt19937 random(21);
        std::normal_distribution<double> normal(0.0, 0.002);
        const onset::SplitShapes shapes = onset::splitShapes(shape, {slope, 0.6});
        for (std::size_t k = 0; k < startMs.size(); ++k) {
            const double since = static_cast<double>(k) - 50.37;
            const double lit = 0.05 + 0.3 * shapes.first.meanOver(since, 0.8)
                + 0.2 * shapes.second.meanOver(since - 14.0, 0.8);
            light.push_back(static_cast<float>(lit + normal(random)));
        }
    }
};

TEST(GoggleModel, LeavesTheResidualsThatTheFitCounted)
{
    // The fit's own sum of squares is the outside value: the model is that fit, or it is not.
    for (const double slope : {0.0, 0.5}) {
        const NoisyAnswer answer(slope);
        const onset::TimedTrace trace {answer.light, answer.startMs, camera, {}};
        const std::vector<double> delays {0.0, 14.0};
        const auto fit = onset::fitAnswer(trace, {Edge::On, 20, 130, 40.0, 66.0},
            onset::SplitTables(answer.shape, camera.exposureMs, slope), delays);
        ASSERT_TRUE(fit);
        ASSERT_EQ(fit->delayMs, 14.0);
        const ModelStretch model = goggleModel(trace, *fit, answer.shape, {20, 130});
        double squares = 0.0;
        for (std::size_t i = 0; i < model.light.size(); ++i) {
            const double residual
                = static_cast<double>(answer.light[20 + i]) - static_cast<double>(model.light[i]);
            squares += residual * residual;
        }
        // The fit reads its shape from a table that is good to 1e-4 of the step.
        EXPECT_NEAR(squares, fit->squares, 0.01 * fit->squares) << "slope " << slope;
    }
}

struct ModelCase
{
    const char* name;
    const char* scene;
};

class ModelOfAFilmedClip : public ::testing::TestWithParam<ModelCase>
{
};

/// Root mean square of light minus model, share of the step.
double rmsResidual(const ModelStretch& model, const std::vector<float>& light, double step)
{
    double squares = 0.0;
    for (std::size_t i = 0; i < model.light.size(); ++i) {
        const auto k = static_cast<std::size_t>(model.firstFrame) + i;
        squares += std::pow(
            (static_cast<double>(light[k]) - static_cast<double>(model.light[i])) / step, 2);
    }
    return std::sqrt(squares / static_cast<double>(model.light.size()));
}

TEST_P(ModelOfAFilmedClip, LiesOnItsLight)
{
    const auto scene = film::parseScene(GetParam().scene, "model.json");
    ASSERT_TRUE(scene) << scene.error().detail;
    const ClipTraces traces = film::renderTraces(*scene);
    const film::Truth truth = film::truthOf(*scene);
    std::vector<double> startMs;
    std::ranges::transform(traces.exposureStart, std::back_inserter(startMs),
        [](RealTime start) { return toMs(start); });
    AnalysisInput input;
    input.reference = traces.reference;
    input.goggle = traces.goggle;
    input.startMs = startMs;
    input.frameIntervalMs = truth.clip.captureRate.intervalMs();
    input.storedRows = truth.clip.heightPx;
    input.referenceStored = truth.regions.reference;
    input.goggleStored = truth.regions.goggle;
    MeasureOptions options;
    options.exposureMs = truth.clip.exposureMs;
    const Analysis analysis = analyseClip(input, options);
    ASSERT_EQ(analysis.presses.size(), truth.presses.size());
    // Light without noise or codec. What is left is the allowance for them in the reference's
    // posterior (0.4 % of the step in one frame), and in a few answers that the round lamp is taken
    // for an even strip whose rows share two pictures.
    constexpr double limit = 0.005;
    constexpr double worstAnswer = 0.015;
    std::vector<double> answers;
    for (const Press& press : analysis.presses) {
        ASSERT_GE(press.referenceModel.light.size(), 6U);
        EXPECT_LT(rmsResidual(press.referenceModel, traces.reference,
                      press.referenceAfter - press.referenceBefore),
            limit)
            << "press " << press.index;
        if (!press.latency) {
            EXPECT_TRUE(press.goggleModel.light.empty());
            continue;
        }
        // The whole edge is in it: levels at both ends.
        ASSERT_GE(press.goggleModel.light.size(), 12U);
        answers.push_back(
            rmsResidual(press.goggleModel, traces.goggle, press.goggleAfter - press.goggleBefore));
    }
    ASSERT_GE(answers.size(), 10U);
    std::ranges::sort(answers);
    EXPECT_LT(answers[answers.size() / 2], limit);
    EXPECT_LT(answers.back(), worstAnswer);
}

INSTANTIATE_TEST_SUITE_P(Press, ModelOfAFilmedClip,
    ::testing::Values(
        ModelCase {"fastcamera",
            R"({"name": "model", "seed": 5, "lamps": {"programme": {"kind": "random", "presses": 8}},
            "camera": {"capture_rate": 1000, "exposure_ms": 0.8, "shot_noise": 0, "read_noise": 0, "line_time_us": 0}})"},
        ModelCase {"slowcamera",
            R"({"name": "model", "seed": 6, "lamps": {"programme": {"kind": "random", "presses": 8}},
            "camera": {"capture_rate": 240, "exposure_ms": 3.75, "shot_noise": 0, "read_noise": 0, "line_time_us": 0}})"}),
    [](const auto& param) { return std::string(param.param.name); });

} // namespace
} // namespace twinlamp::measure

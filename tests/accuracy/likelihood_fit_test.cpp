// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/trace_render.h"
#include "core/film/truth.h"
#include "core/measure/clip_analysis.h"
#include "tests/accuracy/draw.h"
#include "tests/accuracy/likelihood_fit.h"

#include <cmath>
#include <gtest/gtest.h>
#include <random>

namespace twinlamp::accuracy {

namespace {

/// The clean case: an evenly lit part of a panel, whole pictures, one response for both edges,
/// exposure told.
film::Scene cleanScene(std::uint64_t seed)
{
    Draw draw(seed);
    film::Scene scene;
    scene.seed = draw.seed();
    scene.widthPx = 200;
    scene.heightPx = 160;
    scene.lamps.programme.presses = 8;
    scene.referenceLamp.x = 30.0;
    scene.referenceLamp.y = 80.0;
    scene.linkCamera.frameRate = {static_cast<std::int64_t>(draw.between(50.0, 120.0)), 1};
    scene.linkCamera.exposureMs = 0.001;
    scene.linkCamera.readoutMs = 0.0;
    scene.link.delayMs = draw.between(5.0, 40.0);
    film::Panel& panel = scene.panel;
    panel.rect = {60, 10, 130, 140};
    panel.scanMs = draw.between(0.4, 0.95) * scene.linkCamera.frameRate.intervalMs();
    panel.riseMs = draw.between(0.3, 2.5);
    panel.fallMs = panel.riseMs;
    panel.lampImage.brightness = 0.0;
    panel.spill = draw.between(0.2, 0.5);
    const int top = static_cast<int>(draw.between(12.0, 80.0));
    scene.goggleRegion = RectPx {80, top, 20, static_cast<int>(draw.between(10.0, 60.0))};
    scene.camera.captureRate = {draw.oneOf<std::int64_t>({480, 960, 1000}), 1};
    scene.camera.exposureMs = draw.between(0.7, 0.98) * scene.camera.captureRate.intervalMs();
    scene.camera.shotNoise = 0.0; // so that all frames weigh the same
    scene.camera.readNoise = draw.between(0.01, 0.1);
    return scene;
}

measure::Analysis analyse(
    const film::Scene& scene, const RegionSet& regions, const ClipTraces& traces)
{
    std::vector<double> startMs;
    for (const RealTime start : traces.exposureStart) {
        startMs.push_back(toMs(start));
    }
    const std::vector<float> unclipped(startMs.size(), 0.0F);
    measure::AnalysisInput input;
    input.reference = traces.reference;
    input.goggle = traces.goggle;
    input.referenceHigh = unclipped;
    input.goggleHigh = unclipped;
    input.startMs = startMs;
    input.frameIntervalMs = scene.camera.captureRate.intervalMs();
    input.storedRows = scene.heightPx;
    input.referenceStored = regions.reference;
    input.goggleStored = regions.goggle;
    measure::MeasureOptions told;
    told.exposureMs = scene.camera.exposureMs;
    return measure::analyseClip(input, told);
}

/// 50 ms before to 70 ms after each answer: both levels, and no other answer.
std::vector<AnswerFrames> framesOf(const film::Truth& truth, const ClipTraces& traces)
{
    std::vector<AnswerFrames> answers;
    for (const Press& press : truth.presses) {
        AnswerFrames frames;
        for (std::size_t k = 0; k < traces.frameCount(); ++k) {
            const double since = toMs(traces.exposureStart[k]) - toMs(*press.firstLight);
            if (since > -50.0 && since < 70.0) {
                frames.startMs.push_back(toMs(traces.exposureStart[k]));
                frames.light.push_back(static_cast<double>(traces.goggle[k]));
            }
        }
        answers.push_back(std::move(frames));
    }
    return answers;
}

double rootMeanSquare(const std::vector<double>& values)
{
    double sum = 0.0;
    for (const double value : values) {
        sum += value * value;
    }
    return std::sqrt(sum / static_cast<double>(values.size()));
}

} // namespace

// The second way on its own: light of a known ramp and response in closed form, noise drawn here.
TEST(LikelihoodFit, ErrorsAreAsLargeAsItSays)
{
    constexpr double rampMs = 3.0;
    constexpr double tauMs = 0.8;
    constexpr double exposureMs = 0.9;
    constexpr double noise = 0.004;
    // Root of [H(t) - H(t - T)] / T = 0.1, H(t) = t - tau (1 - exp(-t / tau)): bisection in Python.
    constexpr double tenthMs = 0.80898241;
    std::mt19937_64 engine(20);
    std::normal_distribution<double> normal(0.0, noise);
    const auto integral = [&](double t) { // of H(t) = t - tau (1 - exp(-t / tau)), t > 0
        return t <= 0.0 ? 0.0
                        : 0.5 * t * t - tauMs * t + tauMs * tauMs * (1.0 - std::exp(-t / tauMs));
    };
    const auto seen = [&](double start) {
        const double end = start + exposureMs;
        return (integral(end) - integral(end - rampMs) - integral(start) + integral(start - rampMs))
            / (rampMs * exposureMs);
    };
    std::vector<AnswerFrames> answers;
    std::vector<double> trueMs;
    for (int i = 0; i < 40; ++i) {
        const double beganMs = 40.0 + 0.37 * i;
        AnswerFrames frames;
        for (int k = 0; k < 110; ++k) {
            frames.startMs.push_back(k);
            frames.light.push_back(0.1 + 0.4 * seen(k - beganMs) + normal(engine));
        }
        answers.push_back(frames);
        trueMs.push_back(beganMs + tenthMs);
    }
    const LikelihoodFit fit = fitByLikelihood(answers, exposureMs, noise);
    EXPECT_NEAR(fit.rampMs, rampMs, 0.15);
    EXPECT_NEAR(fit.tauMs, tauMs, 0.1);
    std::vector<double> scores;
    for (std::size_t i = 0; i < trueMs.size(); ++i) {
        scores.push_back((fit.answers[i].ms - trueMs[i]) / fit.answers[i].standardMs);
    }
    // The root mean square of 40 standard scores is 1 with a standard deviation of 0.11.
    EXPECT_NEAR(rootMeanSquare(scores), 1.0, 0.35);
}

// Noise moves both ways alike; what is left between them is what they do differently, and together
// that may not be more than the noise leaves open to the better one. The second way is told more:
// that the first picture is whole. What the program loses by leaving its share open is at most a
// twentieth of a frame.
TEST(ProgramsFirstLight, AgreesWithMaximumLikelihood)
{
    constexpr double openShare = 0.05; // camera frames
    std::vector<double> differences; // camera frames, as the next
    std::vector<double> standards;
    std::vector<double> scores;
    for (std::uint64_t seed = 1; seed <= 6; ++seed) {
        const film::Scene scene = cleanScene(seed);
        const film::Studio studio(scene);
        const film::Truth truth = film::truthOf(studio);
        const ClipTraces traces
            = film::renderTraces(studio, studio.regions(), film::TraceNoise::Camera, false);
        const measure::Analysis analysis = analyse(scene, studio.regions(), traces);
        ASSERT_EQ(analysis.presses.size(), truth.presses.size()) << seed;
        const double noise = scene.camera.readNoise
            / std::sqrt(static_cast<double>(studio.regions().goggle.areaPx()));
        const LikelihoodFit fit
            = fitByLikelihood(framesOf(truth, traces), scene.camera.exposureMs, noise);
        const double frameMs = scene.camera.captureRate.intervalMs();
        for (std::size_t i = 0; i < truth.presses.size(); ++i) {
            ASSERT_TRUE(analysis.presses[i].firstLight) << seed << " " << i;
            const LikelyFirstLight& likely = fit.answers[i];
            differences.push_back((toMs(*analysis.presses[i].firstLight) - likely.ms) / frameMs);
            standards.push_back(likely.standardMs / frameMs);
            scores.push_back((likely.ms - toMs(*truth.presses[i].firstLight)) / likely.standardMs);
            EXPECT_LT(std::abs(differences.back()), 4.0 * standards.back() + openShare)
                << seed << " " << i;
        }
    }
    ASSERT_EQ(differences.size(), 96U);
    // The second way is right by its own statement; rows of the panel make a stair of the ramp, a
    // little more than the noise.
    EXPECT_NEAR(rootMeanSquare(scores), 1.0, 0.3);
    EXPECT_LT(rootMeanSquare(differences), rootMeanSquare(standards));
}

} // namespace twinlamp::accuracy

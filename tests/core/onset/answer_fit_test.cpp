// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/shape_fit.h"

#include <cmath>
#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::onset {

namespace {

struct Truth
{
    double startMs = 0.0;
    double delayMs = 0.0;
    double first = 0.4;
    double second = 0.0;
};

/// Light of answers with a common shape, as a camera with 1 ms frames sees it.
std::vector<float> film(
    const std::vector<Truth>& answers, const StepShape& shape, double noise, std::size_t frames)
{
    std::mt19937 random(21);
    std::normal_distribution<double> normal(0.0, noise);
    std::vector<float> light;
    for (std::size_t k = 0; k < frames; ++k) {
        double value = 0.05;
        for (const Truth& answer : answers) {
            const double since = static_cast<double>(k) - answer.startMs;
            value += answer.first * shape.meanOver(since, 0.9)
                + answer.second * shape.meanOver(since - answer.delayMs, 0.9);
        }
        light.push_back(static_cast<float>(value + normal(random)));
    }
    return light;
}

std::vector<double> starts(std::size_t frames)
{
    std::vector<double> times;
    for (std::size_t k = 0; k < frames; ++k) {
        times.push_back(static_cast<double>(k));
    }
    return times;
}

const rig::CameraTiming camera {1.0, 0.9, 0.0, 720};

TEST(FitAnswer, FindsStartAndStepsOfAnAnswerInTwoSteps)
{
    const StepShape shape {1.5, 0.8};
    const auto light = film({{50.37, 14.0, 0.25, 0.15}}, shape, 0.002, 140);
    const auto times = starts(140);
    const TimedTrace trace {light, times, camera, {}};
    const std::vector<double> delays {0.0, 14.0};
    const auto fit
        = fitAnswer(trace, {Edge::On, 20, 130, 40.0, 66.0}, ShapeTable(shape, 0.9), delays);
    ASSERT_TRUE(fit);
    // Noise is 1/200 of the step; the start of a 3 ms edge is then known to about 0.01 ms, here
    // five of these.
    EXPECT_NEAR(fit->startMs, 50.37, 0.05);
    EXPECT_EQ(fit->delayMs, 14.0);
    EXPECT_NEAR(fit->first, 0.25, 0.005);
    EXPECT_NEAR(fit->second, 0.15, 0.005);
    EXPECT_NEAR(fit->residual(), 0.002, 0.0006);
}

TEST(FitAnswer, DoesNotSplitAnAnswerInOneStep)
{
    const StepShape shape {1.5, 0.8};
    const auto light = film({{50.37, 0.0, 0.4, 0.0}}, shape, 0.002, 140);
    const auto times = starts(140);
    const TimedTrace trace {light, times, camera, {}};
    const std::vector<double> delays {0.0, 14.0};
    const auto fit
        = fitAnswer(trace, {Edge::On, 20, 130, 40.0, 66.0}, ShapeTable(shape, 0.9), delays);
    ASSERT_TRUE(fit);
    EXPECT_EQ(fit->delayMs, 0.0);
}

TEST(FitAnswer, GivesNothingWithoutAStepOfTheRightSign)
{
    const std::vector<float> flat(100, 0.2F);
    const auto times = starts(100);
    const TimedTrace trace {flat, times, camera, {}};
    const std::vector<double> delays {0.0};
    EXPECT_FALSE(
        fitAnswer(trace, {Edge::On, 10, 90, 30.0, 60.0}, ShapeTable({1.0, 0.5}, 0.9), delays));
}

TEST(Crossing, OfAFirstPictureThatIsHardlyLitComesWithTheSecond)
{
    const StepShape step {0.0, 0.0};
    AnswerFit fit;
    fit.startMs = 10.0;
    fit.delayMs = 8.0;
    fit.first = 0.09;
    fit.second = 0.91;
    EXPECT_NEAR(crossingMs(fit, step, 0.1), 18.0, 1e-3);
    fit.first = 0.11;
    fit.second = 0.89;
    EXPECT_NEAR(crossingMs(fit, step, 0.1), 10.0, 1e-3);
}

TEST(FitShape, ManyAnswersTellAShapeFinerThanAFrame)
{
    const StepShape shape {1.8, 0.6};
    std::vector<Truth> answers;
    std::vector<AnswerWindow> windows;
    for (int i = 0; i < 12; ++i) {
        const double start = 60.0 + 120.0 * i + 0.083 * i;
        // On and off in turn would need two windows kinds; steps that add up serve as well.
        answers.push_back({start, 0.0, 0.05, 0.0});
        const auto k = static_cast<std::size_t>(start);
        windows.push_back({Edge::On, k - 40, k + 60, start - 8.0, start + 6.0});
    }
    const std::size_t frames = 60 + 120 * 12;
    const auto light = film(answers, shape, 0.0003, frames);
    const auto times = starts(frames);
    const TimedTrace trace {light, times, camera, {}};
    const std::vector<double> delays {0.0};
    const ShapeFit fit = fitShape(trace, windows, delays);
    // What counts is the 10 % time that the shape leads to.
    const ShapeTable table(fit.shape, camera.exposureMs);
    for (std::size_t i = 0; i < answers.size(); ++i) {
        const auto answer = fitAnswer(trace, windows[i], table, delays);
        ASSERT_TRUE(answer);
        EXPECT_NEAR(
            crossingMs(*answer, fit.shape, 0.1), answers[i].startMs + shape.timeOf(0.1), 0.06);
    }
}

// All presses at one moment of the frame: three partly lit frames cannot tell ramp from response.
/// Twelve answers at different moments of the frame.
ShapeFit fitOfMany(const StepShape& shape, double noise)
{
    std::vector<Truth> answers;
    std::vector<AnswerWindow> windows;
    for (int i = 0; i < 12; ++i) {
        const double start = 60.0 + 150.0 * i + 0.083 * i;
        answers.push_back({start, 0.0, i % 2 == 0 ? 0.4 : -0.4, 0.0});
        if (i % 2 == 0) {
            const auto frame = static_cast<std::size_t>(start);
            windows.push_back({Edge::On, frame - 40, frame + 70, start - 10.0, start + 14.0});
        }
    }
    const std::size_t frames = 1950;
    const auto light = film(answers, shape, noise, frames);
    const auto times = starts(frames);
    const std::vector<double> delays {0.0, 12.0};
    return fitShape({light, times, camera, {}}, windows, delays);
}

TEST(FitShape, TellsAnOvershootAndWhatItDoesToFirstLight)
{
    const StepShape shape {2.0, 1.2, {}, {0.3, 12.0}};
    const ShapeFit fit = fitOfMany(shape, 0.002);
    EXPECT_NEAR(fit.shape.overshoot.share, 0.3, 0.03);
    EXPECT_NEAR(fit.shape.overshoot.backMs, 12.0, 0.5);
    EXPECT_NEAR(fit.shape.timeOf(0.1), shape.timeOf(0.1), 0.05);
}

TEST(FitShape, SeesNoOvershootWhereThereIsNone)
{
    const ShapeFit fit = fitOfMany({2.0, 1.2}, 0.004);
    EXPECT_EQ(fit.shape.overshoot.share, 0.0);
}

TEST(FitShape, KnownRampLeavesTheResponseToBeTold)
{
    const StepShape shape {2.6, 0.5};
    std::vector<Truth> answers;
    std::vector<AnswerWindow> windows;
    for (int i = 0; i < 8; ++i) {
        const double start = 60.35 + 120.0 * i;
        answers.push_back({start, 0.0, 0.05, 0.0});
        const auto k = static_cast<std::size_t>(start);
        windows.push_back({Edge::On, k - 40, k + 60, start - 8.0, start + 6.0});
    }
    const std::size_t frames = 60 + 120 * 8;
    const auto light = film(answers, shape, 0.00005, frames);
    const auto times = starts(frames);
    const TimedTrace trace {light, times, camera, {}};
    const std::vector<double> delays {0.0};
    const ShapeFit fit = fitShape(trace, windows, delays, {}, 2.6);
    EXPECT_EQ(fit.shape.rampMs, 2.6);
    EXPECT_NEAR(fit.shape.tauMs, 0.5, 0.1);
    const ShapeTable table(fit.shape, camera.exposureMs);
    for (std::size_t i = 0; i < answers.size(); ++i) {
        const auto answer = fitAnswer(trace, windows[i], table, delays);
        ASSERT_TRUE(answer);
        EXPECT_NEAR(
            crossingMs(*answer, fit.shape, 0.1), answers[i].startMs + shape.timeOf(0.1), 0.04);
    }
}

TEST(FitAnswer, RowsLitUnevenlyInTheFirstPictureDoNotShiftTheStart)
{
    const StepShape shape {3.0, 0.3};
    constexpr double slope = 0.6;
    const SplitShapes truth = splitShapes(shape, {slope, 0.4});
    const auto times = starts(140);
    std::vector<float> light;
    for (const double t : times) {
        light.push_back(static_cast<float>(0.05 + 0.16 * truth.first.meanOver(t - 50.37, 0.9)
            + 0.24 * truth.second.meanOver(t - 50.37 - 12.0, 0.9)));
    }
    const TimedTrace trace {light, times, camera, {}};
    const std::vector<double> delays {0.0, 12.0};
    const AnswerWindow window {Edge::On, 20, 130, 40.0, 70.0};
    const auto fit = fitAnswer(trace, window, SplitTables(shape, 0.9, slope), delays);
    ASSERT_TRUE(fit);
    EXPECT_NEAR(fit->startMs, 50.37, 0.01);
    EXPECT_NEAR(fit->first / fit->step(), 0.4, 0.002);
    EXPECT_NEAR(fit->split.share, 0.4, 0.051);
    const auto even = fitAnswer(trace, window, SplitTables(shape, 0.9, 0.0), delays);
    ASSERT_TRUE(even);
    EXPECT_GT(std::abs(even->startMs - 50.37), 0.05) << "what the split is there for";
}

} // namespace

} // namespace twinlamp::onset

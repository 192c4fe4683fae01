// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/new_frame_interval.h"
#include "core/measure/panel_interval.h"

#include <algorithm>
#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::measure {

namespace {

constexpr double frameMs = 1.0;
constexpr double exposureMs = 0.8;

std::vector<double> frameStarts(std::size_t frames)
{
    std::vector<double> starts;
    for (std::size_t k = 0; k < frames; ++k) {
        starts.push_back(static_cast<double>(k) * frameMs);
    }
    return starts;
}

/// Light of one answer that makes `share` of its step with the first picture.
std::vector<float> answerLight(const std::vector<double>& startMs, double changeMs, double share,
    double intervalMs, const onset::StepShape& shape, std::mt19937& random)
{
    std::normal_distribution<double> noise(0.0, 0.002);
    std::vector<float> light;
    for (const double t : startMs) {
        const double first = shape.meanOver(t - changeMs, exposureMs);
        const double second = shape.meanOver(t - changeMs - intervalMs, exposureMs);
        light.push_back(static_cast<float>(
            0.05 + 0.4 * (share * first + (1.0 - share) * second) + noise(random)));
    }
    return light;
}

TEST(NewFrameFromSteps, IsTheDelayThatAllAnswersShare)
{
    std::mt19937 random(61);
    const auto starts = frameStarts(200);
    for (const double interval : {8.3, 11.1, 16.7, 33.3}) {
        std::vector<std::vector<float>> lights;
        for (const double share : {1.0, 0.7, 0.35, 1.0, 0.5}) {
            lights.push_back(
                answerLight(starts, 60.0 + 7.3 * share, share, interval, {1.2, 0.6}, random));
        }
        std::vector<TracedAnswer> answers;
        for (const auto& light : lights) {
            answers.push_back({{light, starts, {frameMs, exposureMs, 0.0, 720}, {}},
                {Edge::On, 20, 180, 45.0, 75.0}});
        }
        const StepsEvidence evidence = newFrameFromSteps(answers);
        ASSERT_TRUE(evidence.interval) << interval;
        EXPECT_NEAR(evidence.interval->ms, interval, 0.6);
        EXPECT_LT(evidence.twoSteps, 0.1 * evidence.oneStep);
    }
}

TEST(NewFrameFromSteps, IsNotClaimedForAnswersInOneStep)
{
    std::mt19937 random(62);
    const auto starts = frameStarts(200);
    std::vector<std::vector<float>> lights;
    for (int i = 0; i < 5; ++i) {
        lights.push_back(answerLight(starts, 60.0 + 0.21 * i, 1.0, 16.0, {1.5, 0.8}, random));
    }
    std::vector<TracedAnswer> answers;
    for (const auto& light : lights) {
        answers.push_back({{light, starts, {frameMs, exposureMs, 0.0, 720}, {}},
            {Edge::On, 20, 180, 45.0, 75.0}});
    }
    EXPECT_FALSE(newFrameFromSteps(answers).interval);
    EXPECT_FALSE(newFrameFromSteps({}).interval);
}

/// A panel of 12 x 12 cells after a single press: row q is lit by clamp(p0 + slope q) in the first
/// picture, the sweep takes 9 ms.
struct Panel
{
    std::vector<double> startMs = frameStarts(220);
    std::vector<float> cells;
    std::vector<float> lamp;
};

Panel showPress(double p0, double slope, double intervalMs)
{
    std::mt19937 random(63);
    Panel panel;
    std::vector<std::vector<float>> rows;
    for (int row = 0; row < 12; ++row) {
        const double q = (row + 0.5) / 12.0;
        rows.push_back(answerLight(panel.startMs, 80.0 + 9.0 * row / 12.0,
            std::clamp(p0 + slope * q, 0.0, 1.0), intervalMs, {0.75, 0.5}, random));
    }
    for (std::size_t k = 0; k < panel.startMs.size(); ++k) {
        for (const auto& row : rows) {
            panel.cells.insert(panel.cells.end(), 12, row[k]);
        }
        panel.lamp.push_back(rows[9][k]);
    }
    return panel;
}

std::optional<Interval> intervalOf(const Panel& panel)
{
    const onset::TimedTrace goggle {panel.lamp, panel.startMs, {frameMs, exposureMs, 0.0, 720}, {}};
    const std::vector<onset::CoarseEdge> edges {{Edge::On, 88}};
    const std::vector<PairedEdge> paired {{0, 50.0}};
    return newFrameFromPanel({12, 12, panel.cells, {0, 0, 240, 240}}, goggle, edges, paired);
}

TEST(NewFrameFromPanel, IsToldByASinglePressThatLeavesTheLampInOneStep)
{
    // The lamp's row is wholly lit by the first picture, rows above it are not.
    const auto interval = intervalOf(showPress(-0.3, 2.0, 13.7));
    ASSERT_TRUE(interval);
    EXPECT_NEAR(interval->ms, 13.7, 0.6);
}

TEST(NewFrameFromPanel, IsNotClaimedWhereAllRowsChangeAtOnce)
{
    EXPECT_FALSE(intervalOf(showPress(1.0, 0.0, 13.7)));
}

} // namespace

} // namespace twinlamp::measure

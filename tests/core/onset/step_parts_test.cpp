// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/step_parts.h"

#include <array>
#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::onset {

namespace {

struct Trace
{
    std::vector<float> light;
    std::vector<double> startMs;

    Trace(const StepShape& shape, const std::vector<double>& parts,
        const std::vector<double>& startsMs, double noise)
    {
        std::mt19937 random(7);
        std::normal_distribution<double> normal(0.0, noise);
        for (int k = 0; k < 80; ++k) {
            startMs.push_back(k);
            double value = 0.2;
            for (std::size_t i = 0; i < parts.size(); ++i) {
                value += parts[i] * shape.meanOver(k - startsMs[i], 0.9);
            }
            light.push_back(static_cast<float>(value + normal(random)));
        }
    }

    [[nodiscard]] TimedTrace timed() const { return {light, startMs, {1.0, 0.9, 0.0, 0}, {}}; }
};

const StepShape shape {1.2, 0.7};
const std::array starts {20.3, 31.4, 42.5};

TEST(StepParts, AreThoseThatMadeTheLight)
{
    const Trace trace(shape, {0.05, 0.2, 0.15}, {starts.begin(), starts.end()}, 1e-4);
    const auto fit
        = fitStepParts(trace.timed(), {Edge::On, 0, 80, 0.0, 0.0}, ShapeTable(shape, 0.9), starts);
    ASSERT_TRUE(fit);
    EXPECT_NEAR(fit->before, 0.2, 1e-4);
    EXPECT_NEAR(fit->parts[0], 0.05, 3e-4);
    EXPECT_NEAR(fit->parts[1], 0.2, 3e-4);
    EXPECT_NEAR(fit->parts[2], 0.15, 3e-4);
    EXPECT_NEAR(fit->step(), 0.4, 3e-4);
    EXPECT_NEAR(fit->noise, 1e-4, 4e-5);
}

TEST(StepParts, LeaveOutWhatGoesTheOtherWay)
{
    // The light falls a little at the last time: a rising edge has no such part.
    const Trace trace(shape, {0.0, 0.3, -0.01}, {starts.begin(), starts.end()}, 1e-4);
    const auto fit
        = fitStepParts(trace.timed(), {Edge::On, 0, 80, 0.0, 0.0}, ShapeTable(shape, 0.9), starts);
    ASSERT_TRUE(fit);
    EXPECT_EQ(fit->parts[2], 0.0);
    EXPECT_NEAR(fit->step(), 0.29, 0.01);
}

TEST(StepParts, AreNoneWhereNothingRises)
{
    const Trace trace(shape, {-0.2, -0.1, -0.1}, {starts.begin(), starts.end()}, 1e-4);
    EXPECT_FALSE(
        fitStepParts(trace.timed(), {Edge::On, 0, 80, 0.0, 0.0}, ShapeTable(shape, 0.9), starts));
    EXPECT_FALSE(
        fitStepParts(trace.timed(), {Edge::On, 0, 4, 0.0, 0.0}, ShapeTable(shape, 0.9), starts));
}

} // namespace

} // namespace twinlamp::onset

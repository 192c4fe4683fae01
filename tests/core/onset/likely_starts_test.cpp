// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/likely_starts.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <vector>

namespace twinlamp::onset {
namespace {

constexpr double frameMs = 2.0;

/// Dark, a first picture of a quarter of the step from 60 ms on, the whole of it from 76 ms on; the
/// answer before settles with a time constant of 3 ms from 20 ms on.
struct Answer
{
    std::vector<double> startMs;
    std::vector<float> light;
    AnswerWindow window {Edge::On, 12, 60, 50.0, 78.0};

    explicit Answer(double settlingStep, double noise = 0.0)
    {
        for (int k = 0; k < 60; ++k) {
            const double t = k * frameMs;
            startMs.push_back(t);
            const double settling
                = t >= 20.0 ? settlingStep * std::exp(-(t - 20.0) / 3.0) : settlingStep;
            const double step = t >= 76.0 ? 0.4 : t >= 60.0 ? 0.1 : 0.0;
            const double wobble = noise * std::sin(1.7 * k * k);
            light.push_back(static_cast<float>(0.05 + settling + step + wobble));
        }
    }

    [[nodiscard]] std::vector<StartRange> starts() const
    {
        const TimedTrace trace {light, startMs, {frameMs, 1.8, 0.0, 180}, {}};
        return likelyStarts(WindowLight(trace, window), trace, window, {1.0, 0.6});
    }

    [[nodiscard]] bool isSearched(double ms) const
    {
        return std::ranges::any_of(starts(), [ms](const StartRange& range) {
            return range.earliestMs <= ms && ms <= range.latestMs;
        });
    }
};

TEST(LikelyStarts, HoldTheFirstPicture)
{
    EXPECT_TRUE(Answer(0.0).isSearched(59.5));
    EXPECT_FALSE(Answer(0.0).isSearched(51.0)); // far before it nothing is searched
}

// What the answer before still does to the first frames must not hide a first picture behind it.
TEST(LikelyStarts, HoldTheFirstPictureBehindAnAnswerThatSettles)
{
    EXPECT_TRUE(Answer(0.4).isSearched(59.5));
}

TEST(LikelyStarts, AreTheWholeWindowWhereNoiseCouldHideAPicture)
{
    const auto starts = Answer(0.0, 0.05).starts();
    ASSERT_EQ(starts.size(), 1U);
    EXPECT_EQ(starts.front().earliestMs, 50.0);
    EXPECT_EQ(starts.front().latestMs, 78.0);
}

} // namespace
} // namespace twinlamp::onset

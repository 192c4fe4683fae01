// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/random.h"

#include <cmath>
#include <gtest/gtest.h>

namespace twinlamp::film {

namespace {

constexpr int draws = 200'000;

struct Moments
{
    double mean = 0.0;
    double variance = 0.0;
    double cubeMean = 0.0;
};

template<typename Draw> Moments momentsOf(Draw draw)
{
    Moments sums;
    for (int i = 0; i < draws; ++i) {
        const double x = draw();
        sums.mean += x / draws;
        sums.variance += x * x / draws;
        sums.cubeMean += x * x * x / draws;
    }
    sums.variance -= sums.mean * sums.mean;
    return sums;
}

} // namespace

TEST(Random, SameSeedStreamAndIndexGiveTheSameNumbers)
{
    Random a(7, Stream::Jitter, 3);
    Random b(7, Stream::Jitter, 3);
    for (int i = 0; i < 100; ++i) {
        EXPECT_EQ(a.next(), b.next());
    }
}

TEST(Random, AnotherSeedStreamOrIndexGivesOtherNumbers)
{
    const std::uint64_t first = Random(7, Stream::Jitter, 3).next();
    EXPECT_NE(Random(8, Stream::Jitter, 3).next(), first);
    EXPECT_NE(Random(7, Stream::Late, 3).next(), first);
    EXPECT_NE(Random(7, Stream::Jitter, 4).next(), first);
    EXPECT_NE(Random(7, Stream::Jitter, -3).next(), first);
}

// Tolerances: five standard errors of the moment at this many draws.
TEST(Random, UniformHasItsMoments)
{
    Random random(1, Stream::Programme);
    const Moments moments = momentsOf([&] { return random.uniform(); });
    EXPECT_NEAR(moments.mean, 0.5, 5.0 * std::sqrt(1.0 / 12.0 / draws));
    EXPECT_NEAR(moments.variance, 1.0 / 12.0, 5.0 * std::sqrt(1.0 / 180.0 / draws));
}

TEST(Random, NormalHasItsMoments)
{
    Random random(2, Stream::NoiseTile);
    const Moments moments = momentsOf([&] { return random.normal(); });
    EXPECT_NEAR(moments.mean, 0.0, 5.0 / std::sqrt(draws));
    EXPECT_NEAR(moments.variance, 1.0, 5.0 * std::sqrt(2.0 / draws));
    EXPECT_NEAR(moments.cubeMean, 0.0, 5.0 * std::sqrt(15.0 / draws));
}

TEST(Random, ExponentialHasItsMoments)
{
    Random random(3, Stream::Jitter);
    const Moments moments = momentsOf([&] { return random.exponential(2.0); });
    EXPECT_NEAR(moments.mean, 2.0, 5.0 * 2.0 / std::sqrt(draws));
    EXPECT_NEAR(moments.variance, 4.0, 5.0 * 4.0 * std::sqrt(8.0 / draws));
}

TEST(Random, DrawsOfNeighbouringIndexesAreUnrelated)
{
    double product = 0.0;
    for (int i = 0; i < draws; ++i) {
        product += (Random(5, Stream::Lost, i).uniform() - 0.5)
            * (Random(5, Stream::Lost, i + 1).uniform() - 0.5) / draws;
    }
    EXPECT_NEAR(product, 0.0, 5.0 / 12.0 / std::sqrt(draws));
}

} // namespace twinlamp::film

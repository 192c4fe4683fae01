// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <numbers>
#include <random>

namespace twinlamp::stats {

/// Seeded random numbers that are the same on every machine: the standard fixes the engine, but not
/// what its distributions make of it.
class RandomSource
{
public:
    explicit RandomSource(std::uint64_t seed)
        : m_engine(seed)
    {
    }

    /// 0 to count - 1, each as likely. @pre 0 < count < 2^32
    [[nodiscard]] std::size_t index(std::size_t count)
    {
        // The high half of a 32 x 32 bit product; off from even by count / 2^32 at most.
        return static_cast<std::size_t>(((m_engine() >> 32U) * count) >> 32U);
    }

    /// In [0, 1).
    [[nodiscard]] double unit()
    {
        constexpr double ofBits = 0x1p-53;
        return static_cast<double>(m_engine() >> 11U) * ofBits;
    }

private:
    std::mt19937_64 m_engine;
};

/// One draw of the standard normal distribution, by G. E. P. Box and M. E. Muller (1958).
[[nodiscard]] inline double normalDraw(RandomSource& random)
{
    const double radius = std::sqrt(-2.0 * std::log(1.0 - random.unit()));
    return radius * std::cos(2.0 * std::numbers::pi * random.unit());
}

/// Seed of every resampling unless a function is told another.
inline constexpr std::uint64_t usualSeed = 20'010'101;
inline constexpr std::size_t usualReplicates = 10'000;

} // namespace twinlamp::stats

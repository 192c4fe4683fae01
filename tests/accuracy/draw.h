// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cmath>
#include <cstdint>
#include <initializer_list>
#include <random>

namespace twinlamp::accuracy {

/// Repeatable draws of scene parameters. The engine of the standard library is the same everywhere,
/// its distributions are not.
class Draw
{
public:
    explicit Draw(std::uint64_t seed)
        : m_engine(seed)
    {
    }

    [[nodiscard]] std::uint64_t seed() { return m_engine() >> 1U; }

    /// In [low, high).
    [[nodiscard]] double between(double low, double high)
    {
        constexpr double unit = 0x1.0p-53;
        return low + (high - low) * static_cast<double>(m_engine() >> 11U) * unit;
    }

    /// Every factor as likely: for amounts that range over more than a decade.
    [[nodiscard]] double betweenLog(double low, double high)
    {
        return low * std::pow(high / low, between(0.0, 1.0));
    }

    [[nodiscard]] bool chance(double share) { return between(0.0, 1.0) < share; }

    template<typename T> [[nodiscard]] T oneOf(std::initializer_list<T> values)
    {
        const auto count = static_cast<double>(values.size());
        return values.begin()[static_cast<std::size_t>(between(0.0, count))];
    }

private:
    std::mt19937_64 m_engine;
};

} // namespace twinlamp::accuracy

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/random.h"

#include <cmath>
#include <numbers>

namespace twinlamp::film {

namespace {

constexpr std::uint64_t goldenStep = 0x9E3779B97F4A7C15U;

std::uint64_t mixed(std::uint64_t z)
{
    z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9U;
    z = (z ^ (z >> 27U)) * 0x94D049BB133111EBU;
    return z ^ (z >> 31U);
}

} // namespace

Random::Random(std::uint64_t seed, Stream stream, std::int64_t index)
    : m_state(mixed(mixed(seed + goldenStep * static_cast<std::uint64_t>(stream))
        + goldenStep * static_cast<std::uint64_t>(index)))
{
}

std::uint64_t Random::next()
{
    m_state += goldenStep;
    return mixed(m_state);
}

double Random::uniform() { return static_cast<double>(next() >> 11U) * 0x1.0p-53; }

double Random::uniform(double low, double high) { return low + (high - low) * uniform(); }

double Random::normal()
{
    const double radius = std::sqrt(-2.0 * std::log(1.0 - uniform()));
    return radius * std::cos(2.0 * std::numbers::pi * uniform());
}

double Random::exponential(double mean) { return -mean * std::log(1.0 - uniform()); }

} // namespace twinlamp::film

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>

namespace twinlamp::film {

/// What a random number is drawn for. Each purpose has a stream of its own, so that a change to one
/// part of a scene leaves the draws of all others alone.
enum class Stream : std::uint64_t
{
    Programme = 1,
    LinkPhase,
    Jitter,
    Late,
    Lost,
    RefreshPhase,
    StrobePhase,
    Flicker,
    Shake,
    CameraLoss,
    StampWobble,
    NoiseTile,
    NoisePlace,
    TraceNoise,
    RoomTexture,
    PanelTexture
};

/// Repeatable random numbers: the same on every platform, which the distributions of the standard
/// library do not promise.
///
/// Source of the generator: SplitMix64, Steele, Lea and Flood, "Fast splittable pseudorandom number
/// generators", OOPSLA 2014 (constants from memory; checked by the moments in
/// tests/core/film/random_test.cpp).
class Random
{
public:
    Random(std::uint64_t seed, Stream stream, std::int64_t index = 0);

    [[nodiscard]] std::uint64_t next();
    /// In [0, 1).
    [[nodiscard]] double uniform();
    [[nodiscard]] double uniform(double low, double high);
    /// Mean 0, standard deviation 1 (Box and Muller's transform).
    [[nodiscard]] double normal();
    [[nodiscard]] double exponential(double mean);

private:
    std::uint64_t m_state;
};

} // namespace twinlamp::film

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/link/airtime.h"

#include <cstdint>
#include <optional>
#include <vector>

namespace twinlamp::link {

/// What lies between the lamp and the goggle besides sending and repeating.
struct LatencyParts
{
    double fixedMs = 0.0; ///< exposure, encoding, decoding, scan: whatever does not vary; >= 0
    /// Redraws of the panel, unrelated to the camera's frames; without it a frame shows on arrival.
    std::optional<double> panelRateHz;
    bool operator==(const LatencyParts&) const = default;
};

/// Distribution of the latency in closed form.
///
/// A press waits for the camera's next frame (even over the frame interval), the frame takes its
/// time to send and a round trip for each round of repeats, and waits for the panel's next redraw
/// (even over the refresh interval). A frame that misses its allowance is not shown, and the next
/// one brings the press: one interval more, with the same chance of being late.
class LatencyDistribution
{
public:
    /// @pre figures are those of the model; figures.lateShare <= mostLateForDistribution
    LatencyDistribution(
        const LinkModel& model, const LinkFigures& figures, const LatencyParts& parts);

    /// P(latency <= that).
    [[nodiscard]] double shareUpTo(double latencyMs) const;

    [[nodiscard]] double meanMs() const;
    [[nodiscard]] double sdMs() const;

    /// Latency that the share stays below or reaches. @pre 0 < share < 1
    [[nodiscard]] double quantileMs(double share) const;

private:
    /// Start of the even parts, and how likely it is.
    struct Atom
    {
        double startMs = 0.0;
        double chance = 0.0;
    };

    std::vector<Atom> m_atoms; ///< ascending by start; chances add up to 1
    double m_frameMs = 0.0;
    double m_refreshMs = 0.0; ///< 0: no panel
};

/// With more late frames than this a press waits for so many that no distribution is worked out.
inline constexpr double mostLateForDistribution = 0.99;

/// The distribution of a link setting; nothing where more frames are late than
/// mostLateForDistribution.
/// @error as linkFigures; Link/InvalidValue for a negative fixed part or a refresh rate of 0
[[nodiscard]] Result<std::optional<LatencyDistribution>> latencyDistribution(
    const LinkModel& model, const LatencyParts& parts);

struct SimulationPlan
{
    std::size_t presses = 20'000; ///< > 0
    std::uint64_t seed = 20'010'101;
    /// How many times longer bursts of lost packets are than independent losses make them, >= 1. 1:
    /// independent losses, which the closed form stands for; longer bursts have no closed form
    /// here.
    double burstFactor = 1.0;
};

inline constexpr std::size_t mostSimulatedPackets = 50'000'000;

struct Simulation
{
    std::vector<double> latenciesMs; ///< one a press, in the order simulated
    double lateShare = 0.0; ///< of frames
    bool operator==(const Simulation&) const = default;
};

/// The same link, press by press and packet by packet, with seeded random numbers; the same on
/// every machine.
///
/// Bursts: losses follow one another with chance 1 - (1 - loss) / burstFactor, and begin so often
/// that the share of lost packets stays that of the model (two states, E. N. Gilbert 1960, from
/// memory). The state lives on from packet to packet of one round.
///
/// @return No latencies where every frame is late, and fewer than asked for where hardly a frame
///         arrives or frames have so many packets that mostSimulatedPackets would be passed.
/// @error  as latencyDistribution; Link/InvalidValue for a burst factor below 1
/// Cost:   presses times packets.
/// Tests:  tests/core/link/latency_model_test.cpp
[[nodiscard]] Result<Simulation> simulateLink(
    const LinkModel& model, const LatencyParts& parts, const SimulationPlan& plan = {});

} // namespace twinlamp::link

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/press.h"

#include <optional>
#include <span>
#include <vector>

namespace twinlamp::measure {

/// An edge with a rough time, real time in ms.
struct TimedEdge
{
    Edge edge = Edge::On;
    double timeMs = 0.0;
};

/// Partner of one reference edge.
struct Partner
{
    std::optional<std::size_t> answer; ///< index into the goggle edges; empty: no answer
    double probability = 1.0; ///< of this partner (or of none) among all order-keeping pairings
};

struct PairingOptions
{
    double earliestMs = -2.0; ///< an answer may seem this early by the roughness of the times
    double searchMs = 150.0;
};

/// Order-keeping pairing of lamp edges with goggle edges of the same kind: a dynamic programme over
/// both lists finds the most likely pairing under the clip's own latencies (their mode and scatter,
/// read from all possible pairs); the sum over all pairings gives each partner's probability.
///
/// @param lamp, goggle  in time order
/// @return one entry per lamp edge
/// Cost: lamp edges times the goggle edges within the search span.
/// Source: forward and backward sums as for a hidden Markov chain (Rabiner 1989, from memory).
/// Tests: tests/core/measure/pairing_test.cpp
[[nodiscard]] std::vector<Partner> pairEdges(std::span<const TimedEdge> lamp,
    std::span<const TimedEdge> goggle, const PairingOptions& options);

} // namespace twinlamp::measure

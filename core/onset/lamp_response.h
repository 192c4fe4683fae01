// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/onset/edge_finder.h"
#include "core/onset/timed_trace.h"

#include <optional>
#include <span>

namespace twinlamp::onset {

/// How a lamp goes from one level to the other: at once but for a share that follows with a time
/// constant, as the afterglow of a phosphor or a slow driver does. Share made t after the
/// switching: 1 - tailShare exp(-t / tauMs).
struct LampResponse
{
    double tailShare = 0.0; ///< 0: it switches at once
    double tauMs = 0.0;
    double standardMs = 0.0; ///< what the doubt of both does to an onset, the same for all
    /// Log likelihood of the best tail over that of none, whichever is taken.
    double tailGain = 0.0;

    [[nodiscard]] bool isSlow() const { return tailShare > 0.0; }

    /// Mean share made over an exposure that starts startMs after the switching, of rows that are
    /// read within smearMs.
    [[nodiscard]] double meanOver(double startMs, double exposureMs, double smearMs) const;

    /// Time after which less than two hundredths of the tail are left.
    [[nodiscard]] double tailMs() const { return isSlow() ? 4.0 * tauMs : 0.0; }
};

/// The response common to all switchings of one kind. A lamp is taken to switch at once until they
/// say otherwise together: a tail shorter than a frame shows only where the switching fell close to
/// the end of an exposure.
///
/// @param edges  all edges of the lamp, in time order
/// @param trace  with its exposure known
/// Source: greatest likelihood of tail and time constant, each edge at its own best instant; the
///         doubt is the spread of the onsets over the tails that the edges allow.
/// Tests:  tests/core/onset/lamp_response_test.cpp
[[nodiscard]] LampResponse fitLampResponse(
    const TimedTrace& trace, std::span<const CoarseEdge> edges, Edge kind);

/// An exposure that was told by a lamp with a tail.
struct TailedExposure
{
    double exposureMs = 0.0;
    double standardMs = 0.0;
};

/// The exposure anew where a slow lamp leaves more frames partly lit than its length does: greatest
/// likelihood of exposure and tails together, near tails that were found under a first guess.
///
/// @param trace  with the first guess as its exposure
/// @param on, off  the responses found under it, one of them slow at least
/// @return nothing where no edge can be compared
/// Source: as fitLampResponse; the standard deviation is that of the likelihood over the exposure.
/// Tests:  tests/core/onset/lamp_response_test.cpp
[[nodiscard]] std::optional<TailedExposure> exposureUnderTails(const TimedTrace& trace,
    std::span<const CoarseEdge> edges, const LampResponse& on, const LampResponse& off);

} // namespace twinlamp::onset

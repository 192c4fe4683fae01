// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"
#include "core/rig/check_onset.h"
#include "core/rig/expanded_uncertainty.h"

#include <optional>
#include <span>

namespace twinlamp::rig {

/// One switching as both lamps show it, each onset corrected for its rows as far as the line time
/// is known.
struct ZeroEdge
{
    Edge edge = Edge::On;
    CheckOnset reference;
    CheckOnset goggle;
};

/// Goggle lamp minus reference lamp.
struct ZeroDifference
{
    double differenceMs = 0.0;
    double halfWidthMs = 0.0; ///< 95 %
    double scatterMs = 0.0; ///< standard deviation of the single differences that were used
    int edges = 0; ///< that were used
    bool onlyBounded = false; ///< hardly a switching left a partly lit frame on both lamps
    /// By how much off edges differ from on edges where that is more than chance; the figure is
    /// then that of the on edges alone.
    std::optional<double> offMinusOnMs;
};

/// Weighted mean of the differences. Its uncertainty has the scatter (Student's t), the bounds
/// where they count, and what the caller knows to be common to all switchings. Switchings whose
/// onset is only bounded count where fewer than 3 others are left; their errors may then all be
/// alike.
///
/// @param common  standard uncertainties, ms: the row correction between the lamps, the exposure
/// @error Rig/TooFew  fewer than 2 switchings
/// Source: JCGM 100:2008, 4.2, 4.3.7 (bounds), 5.1.2, G.4.
/// Tests:  tests/core/rig/zero_difference_test.cpp
[[nodiscard]] Result<ZeroDifference> zeroDifference(
    std::span<const ZeroEdge> edges, std::span<const StandardPart> common);

} // namespace twinlamp::rig

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>

namespace twinlamp::rig {

/// One part of an uncertainty, in the unit of the result.
struct StandardPart
{
    double standard = 0.0;
    std::optional<double> degreesOfFreedom; ///< nothing: as good as exactly known
    bool operator==(const StandardPart&) const = default;
};

/// Several parts together.
struct ExpandedUncertainty
{
    double standard = 0.0; ///< root of the sum of squares
    std::optional<double> degreesOfFreedom; ///< effective; nothing: no part is estimated
    double halfWidth = 0.0; ///< of the interval of the confidence asked for
};

/// Combines independent parts: uc^2 = sum u_i^2, nu_eff = uc^4 / sum(u_i^4 / nu_i), half width =
/// Student's factor of nu_eff times uc. The effective degrees of freedom are used as they are, not
/// cut to a whole number.
///
/// Source: JCGM 100:2008, 5.1.2, G.4.1 (equation G.2b) and G.6.4.
/// Tests:  tests/core/rig/expanded_uncertainty_test.cpp, on its example H.1
[[nodiscard]] ExpandedUncertainty expandedUncertainty(
    std::span<const StandardPart> parts, double confidence = 0.95);

} // namespace twinlamp::rig

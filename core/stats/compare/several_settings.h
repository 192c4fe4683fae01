// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <span>
#include <vector>

namespace twinlamp::stats {

struct KruskalWallis
{
    double h = 0.0; ///< corrected for ties
    double degrees = 0.0;
    double pValue = 1.0; ///< chi-square
    bool operator==(const KruskalWallis&) const = default;
};

/// Whether k samples come from one distribution, by their ranks. Every value counts as independent.
///
/// @return Nothing where a group is empty or all values are equal.
/// @pre groups.size() >= 2
/// Source: W. H. Kruskal, W. A. Wallis (1952), Journal of the American Statistical Association 47,
///         583-621 (from memory); figures by R kruskal.test.
/// Tests:  tests/core/stats/compare/several_settings_test.cpp
[[nodiscard]] std::optional<KruskalWallis> kruskalWallis(
    std::span<const std::vector<double>> groups);

/// p-values of several tests made at once, adjusted so that all together err with the chance that
/// they are compared with. In the order given.
/// Source: S. Holm (1979), Scandinavian Journal of Statistics 6, 65-70 (from memory); figures by R
///         p.adjust.
/// Tests:  tests/core/stats/compare/several_settings_test.cpp
[[nodiscard]] std::vector<double> holmAdjusted(std::span<const double> pValues);

} // namespace twinlamp::stats

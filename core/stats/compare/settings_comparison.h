// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/compare/run_comparison.h"

#include <optional>

namespace twinlamp::stats {

/// One figure of two settings as the answer to one of several questions asked at once.
struct FigureVerdict
{
    RunComparison byRuns; ///< verdict, reason and plan are those of all questions together
    /// Adjusted by Holm for all questions; empty like the p-value.
    std::optional<double> adjustedPValue;
    /// Alone it would have been told apart, or the same; not with all questions in view.
    bool heldBack = false;
    bool operator==(const FigureVerdict&) const = default;
};

struct SettingsComparison
{
    FigureVerdict shift;
    FigureVerdict spread;
    std::optional<FigureVerdict> late; ///< with a late limit only
    int questions = 0; ///< p-values that were adjusted together
    bool operator==(const SettingsComparison&) const = default;
};

/// Shift, spread and, with a limit, late share of two settings, with verdicts that err together:
/// where the settings are the same in all three, any verdict is false in no more than 1 -
/// confidence of campaigns. The p-values of the three, and that of the margin where one is given,
/// are adjusted by Holm; intervals stay those of one figure alone. A figure without a p-value (too
/// few runs) enters no adjustment. Plans for undecided figures are made for the strictest step.
///
/// @pre as compareShift
/// Source: S. Holm (1979), Scandinavian Journal of Statistics 6, 65-70 (from memory).
/// Tests:  tests/core/stats/compare/settings_comparison_test.cpp, run_simulation_test.cpp
[[nodiscard]] SettingsComparison compareSettings(const TwoSettings& settings,
    std::optional<double> lateLimitMs, const RunComparisonOptions& options = {});

} // namespace twinlamp::stats

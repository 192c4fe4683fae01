// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/estimate.h"
#include "core/stats/order_statistics.h"

#include <QString>

#include <optional>

/// Texts of figures in the cells of a table.
namespace twinlamp::ui {

/// A value in a unit, cut to the digits that its interval carries.
struct Scaled
{
    double scale = 1.0;
    QString unit {};
};

/// Where there is no figure.
[[nodiscard]] QString dash();
/// Decimals that half the interval carries; 2 without one.
[[nodiscard]] int decimalsOf(const stats::Interval& interval, double scale);
[[nodiscard]] QString valueText(double value, int decimals, const Scaled& how);
/// "20.1 to 22.4".
[[nodiscard]] QString intervalText(const stats::Interval& interval, const Scaled& how);
/// "21.2 (20.1 to 22.4)".
[[nodiscard]] QString withInterval(
    const std::optional<double>& value, const stats::Interval& interval, const Scaled& how);
/// The same, or how many presses its interval needs.
[[nodiscard]] QString quantileText(const stats::QuantileFigure& figure);

} // namespace twinlamp::ui

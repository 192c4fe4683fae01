// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>

#include <vector>

namespace twinlamp::ui {

/// A straight mapping of a value axis onto pixels: `low` lies at `firstPx`, `high` at `lastPx`.
struct AxisMapping
{
    double low = 0.0;
    double high = 1.0;
    double firstPx = 0.0;
    double lastPx = 1.0;

    /// Pixel of a value; values outside map outside.
    [[nodiscard]] double toPx(double value) const;
    /// Value at a pixel: the inverse of toPx.
    [[nodiscard]] double toValue(double px) const;
};

struct RulerTick
{
    double value = 0.0;
    QString label; ///< as many decimals as the step needs; empty where labels would touch
};

/// Ticks at multiples of a 1-2-5 step, all inside [low, high], at least `gapPx` apart.
/// Empty where the span is empty or not finite.
[[nodiscard]] std::vector<RulerTick> rulerTicks(const AxisMapping& axis, double gapPx);

/// Smallest 1-2-5 step that is not below `step`. @pre step > 0
[[nodiscard]] double niceStep(double step);

/// `value` with the decimals that a ruler of this step needs.
[[nodiscard]] QString tickText(double value, double step);

} // namespace twinlamp::ui

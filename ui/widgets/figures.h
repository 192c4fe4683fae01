// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/press.h"
#include "core/base/units.h"

#include <QString>

#include <optional>

namespace twinlamp::ui {

/// Decimals that an uncertainty carries: its first digit, the first two where it starts with 1.
/// 0.08 gives 2, 0.14 gives 2, 0.4 gives 1, 3 gives 0. @return `otherwise` where it is empty or 0
[[nodiscard]] int decimalsFor(std::optional<double> uncertainty, int otherwise);

/// "25.3" with a true minus sign.
[[nodiscard]] QString numberText(double value, int decimals);
/// "25.31 ms" with a thin space before the unit.
[[nodiscard]] QString msText(double ms, int decimals);
/// "25.31 ±0.08 ms", digits cut to the uncertainty; without one, two decimals and no ±.
[[nodiscard]] QString latencyText(Latency value, std::optional<Latency> uncertainty);

/// "1.2340 s": real time of a frame, to the tenth of a millisecond.
[[nodiscard]] QString realTimeText(RealTime time);
[[nodiscard]] QString playTimeText(PlayTime time);
/// "240", "239.76": frames per second, at most three decimals, none that are 0.
[[nodiscard]] QString rateText(double hz);

/// A number typed with point or comma; nothing where the text is something else.
[[nodiscard]] std::optional<double> numberIn(const QString& text);

/// `one` for 1, else `many`; both hold %1 for the count. English has no translation file that would
/// choose for it.
[[nodiscard]] QString countText(std::int64_t count, const QString& one, const QString& many);

/// "on" or "off".
[[nodiscard]] QString edgeText(Edge edge);
/// A flag in a few words, for the table.
[[nodiscard]] QString flagName(Flag flag);
/// All doubts of a press in words, joined; empty where there are none.
[[nodiscard]] QString doubtsText(const Flags& flags);

inline constexpr QChar thinSpace(0x2009);
inline constexpr QChar plusMinus(0x00B1);
inline constexpr QChar enDash(0x2013);

} // namespace twinlamp::ui

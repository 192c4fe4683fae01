// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"

#include <optional>
#include <string>

namespace twinlamp::report {

/// A figure and its half width, cut to the digits that the half width carries.
struct FigureText
{
    std::string value; ///< "25.31"
    std::string halfWidth; ///< "0.08"; empty where none was given
    bool operator==(const FigureText&) const = default;
};

/// Decimals that a half width carries: two significant digits where it begins with 1 or 2 (0.12),
/// one otherwise (0.08, 0.4). 0 to 6; the usual 2 for a half width of 0 or one that is not finite.
/// JCGM 100:2008, 7.2.6 asks for two digits at most.
[[nodiscard]] int decimalsFor(double halfWidth);

/// Rounded to `decimals`, a point as the decimal sign whatever the locale, never "-0.00".
[[nodiscard]] std::string fixedText(double value, int decimals);

/// The half width is rounded like the value. Without one: two decimals.
[[nodiscard]] FigureText figureText(double value, std::optional<double> halfWidth);

/// Shortest text of a time in ms, exact to the ns: "25.3127", "-0.5", "12".
[[nodiscard]] std::string exactMsText(std::int64_t ns);

/// ms rounded to ns, as a double that prints short.
[[nodiscard]] double roundedMs(double ms);

} // namespace twinlamp::report

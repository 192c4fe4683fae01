// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>

namespace twinlamp::stats {

/// Confidence of every interval unless a function says otherwise.
inline constexpr double usualConfidence = 0.95;

/// Ends of an interval in the unit of the figure it belongs to. An end is empty where the data
/// cannot bound the figure on that side (too few values, or the end falls among lost answers).
struct Interval
{
    std::optional<double> low;
    std::optional<double> high;
    bool operator==(const Interval&) const = default;
};

} // namespace twinlamp::stats

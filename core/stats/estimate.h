// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/interval.h"

#include <span>

namespace twinlamp::stats {

/// A figure and its interval.
struct Estimate
{
    double value = 0.0;
    Interval interval;
    bool operator==(const Estimate&) const = default;
};

/// Two samples of one unit, such as the latencies of two settings in ms. Functions that take them
/// count every value as independent; for presses of few runs what they give stands beside the
/// figures by runs (run_comparison.h), named so.
struct TwoSamples
{
    std::span<const double> x;
    std::span<const double> y;
};

} // namespace twinlamp::stats

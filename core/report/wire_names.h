// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"

#include <string_view>

namespace twinlamp::report {

/// Words of JSON, CSV and session for the values of an enumeration: never changed.
[[nodiscard]] constexpr std::string_view wireName(Edge edge)
{
    return edge == Edge::On ? "on" : "off";
}

[[nodiscard]] constexpr std::string_view wireName(RateSource source)
{
    switch (source) {
    case RateSource::Given:
        return "given";
    case RateSource::File:
        return "file";
    case RateSource::TimeBase:
        break;
    }
    return "time-base";
}

[[nodiscard]] constexpr std::string_view wireName(ExposureSource source)
{
    switch (source) {
    case ExposureSource::Given:
        return "given";
    case ExposureSource::Estimated:
        return "estimated";
    case ExposureSource::Unknown:
        break;
    }
    return "unknown";
}

[[nodiscard]] constexpr std::string_view wireName(RegionSource source)
{
    return source == RegionSource::Given ? "given" : "located";
}

[[nodiscard]] constexpr std::string_view wireName(ScanMode mode)
{
    return mode == ScanMode::Full ? "full" : "sparse";
}

[[nodiscard]] constexpr std::string_view wireName(SweepDirection direction)
{
    switch (direction) {
    case SweepDirection::Down:
        return "down";
    case SweepDirection::Up:
        return "up";
    case SweepDirection::LeftToRight:
        return "left-to-right";
    case SweepDirection::RightToLeft:
        return "right-to-left";
    case SweepDirection::AllAtOnce:
        break;
    }
    return "all-at-once";
}

} // namespace twinlamp::report

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/base/contracts.h"
#include "core/base/measure_options.h"
#include "core/base/rig_check.h"

#include <array>
#include <optional>
#include <string_view>
#include <utility>

namespace twinlamp {

/// Words of JSON, CSV and session file for the values of an enumeration: never changed.
template<typename Enumeration> struct WireNames;

template<> struct WireNames<Edge>
{
    static constexpr std::array<std::pair<Edge, std::string_view>, 2> all {{
        {Edge::On, "on"},
        {Edge::Off, "off"},
    }};
};

template<> struct WireNames<RateSource>
{
    static constexpr std::array<std::pair<RateSource, std::string_view>, 3> all {{
        {RateSource::Given, "given"},
        {RateSource::File, "file"},
        {RateSource::TimeBase, "time-base"},
    }};
};

template<> struct WireNames<ExposureSource>
{
    static constexpr std::array<std::pair<ExposureSource, std::string_view>, 3> all {{
        {ExposureSource::Given, "given"},
        {ExposureSource::Estimated, "estimated"},
        {ExposureSource::Unknown, "unknown"},
    }};
};

template<> struct WireNames<LineTimeSource>
{
    static constexpr std::array<std::pair<LineTimeSource, std::string_view>, 3> all {{
        {LineTimeSource::Given, "given"},
        {LineTimeSource::Estimated, "estimated"},
        {LineTimeSource::Unknown, "unknown"},
    }};
};

template<> struct WireNames<measure::TransferCurve>
{
    static constexpr std::array<std::pair<measure::TransferCurve, std::string_view>, 7> all {{
        {measure::TransferCurve::Bt709, "bt709"},
        {measure::TransferCurve::Srgb, "srgb"},
        {measure::TransferCurve::Gamma22, "gamma22"},
        {measure::TransferCurve::Gamma28, "gamma28"},
        {measure::TransferCurve::Linear, "linear"},
        {measure::TransferCurve::Hlg, "hlg"},
        {measure::TransferCurve::Pq, "pq"},
    }};
};

template<> struct WireNames<RegionSource>
{
    static constexpr std::array<std::pair<RegionSource, std::string_view>, 2> all {{
        {RegionSource::Given, "given"},
        {RegionSource::Located, "located"},
    }};
};

template<> struct WireNames<ScanMode>
{
    static constexpr std::array<std::pair<ScanMode, std::string_view>, 2> all {{
        {ScanMode::Full, "full"},
        {ScanMode::Sparse, "sparse"},
    }};
};

template<> struct WireNames<SweepDirection>
{
    static constexpr std::array<std::pair<SweepDirection, std::string_view>, 5> all {{
        {SweepDirection::Down, "down"},
        {SweepDirection::Up, "up"},
        {SweepDirection::LeftToRight, "left-to-right"},
        {SweepDirection::RightToLeft, "right-to-left"},
        {SweepDirection::AllAtOnce, "all-at-once"},
    }};
};

template<> struct WireNames<measure::EdgeChoice>
{
    static constexpr std::array<std::pair<measure::EdgeChoice, std::string_view>, 3> all {{
        {measure::EdgeChoice::On, "on"},
        {measure::EdgeChoice::Off, "off"},
        {measure::EdgeChoice::Both, "both"},
    }};
};

template<> struct WireNames<UncertaintySource>
{
    static constexpr std::array<std::pair<UncertaintySource, std::string_view>, 9> all {{
        {UncertaintySource::ReferenceOnset, "reference-onset"},
        {UncertaintySource::FirstLight, "first-light"},
        {UncertaintySource::Exposure, "exposure"},
        {UncertaintySource::CaptureRate, "capture-rate"},
        {UncertaintySource::ZeroCorrection, "zero-correction"},
        {UncertaintySource::LineTime, "line-time"},
        {UncertaintySource::CameraResponse, "camera-response"},
        {UncertaintySource::LampResponse, "lamp-response"},
        {UncertaintySource::HandCorrection, "hand-correction"},
    }};
};

template<> struct WireNames<CheckKind>
{
    static constexpr std::array<std::pair<CheckKind, std::string_view>, 2> all {{
        {CheckKind::Zero, "zero"},
        {CheckKind::TimeBase, "time-base"},
    }};
};

/// @pre `value` is one of the enumeration's names
template<typename Enumeration> [[nodiscard]] constexpr std::string_view wireName(Enumeration value)
{
    for (const auto& [known, name] : WireNames<Enumeration>::all) {
        if (known == value) {
            return name;
        }
    }
    contractBroken("the value has a wire name", __FILE__, __LINE__);
}

/// Nothing where no value has that name.
template<typename Enumeration>
[[nodiscard]] constexpr std::optional<Enumeration> fromWireName(std::string_view name)
{
    for (const auto& [value, known] : WireNames<Enumeration>::all) {
        if (known == name) {
            return value;
        }
    }
    return std::nullopt;
}

} // namespace twinlamp

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/measure_options.h"
#include "core/link/airtime.h"

#include <algorithm>
#include <charconv>
#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

/// Values of options as they are typed: '.' is the decimal point in every locale, and what is
/// beyond any bench is a slip of the hand. Nothing where the text is something else.
namespace twinlamp::app {

/// Every character has to be part of the number; '.' is the decimal point in every locale.
[[nodiscard]] std::optional<double> parseNumber(const std::string& text);
/// Times in ms. An hour is beyond any bench and far from where whole nanoseconds overflow.
[[nodiscard]] std::optional<double> parseMs(const std::string& text);
[[nodiscard]] std::optional<double> parsePositiveMs(const std::string& text);
[[nodiscard]] std::optional<double> parseNotNegativeMs(const std::string& text);
[[nodiscard]] std::optional<double> parseLineTimeUs(const std::string& text);
/// No camera is slower than a frame a second or faster than a million here; what is beyond is a
/// slip of the hand.
[[nodiscard]] std::optional<FrameRate> parseRate(const std::string& text);
[[nodiscard]] std::optional<int> parseThreads(const std::string& text);
[[nodiscard]] std::optional<int> parsePressNumber(const std::string& text);

[[nodiscard]] std::optional<double> parsePositive(const std::string& text);
/// "960x720", whole numbers from 1 to 65536.
[[nodiscard]] std::optional<link::PictureSize> parsePictureSize(const std::string& text);
/// MHz, or the name of a race channel.
[[nodiscard]] std::optional<double> parseChannelMhz(const std::string& text);

/// Whole numbers from 0.
template<typename Whole> std::optional<Whole> parseWhole(const std::string& text, Whole most)
{
    Whole value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    const bool read = error == std::errc {} && end == text.data() + text.size();
    return read && value >= 0 && value <= most ? std::optional(value) : std::nullopt;
}

/// Reads a panel into the options: an upright rectangle, or four corners with the rectangle around
/// them.
/// @return what is wrong with the text; the options are then as they were
[[nodiscard]] std::optional<std::string> readPanel(
    const std::string& text, measure::MeasureOptions& options);

template<typename Value> using NamedValues = std::vector<std::pair<std::string, Value>>;

/// One of a few words.
template<typename Value>
std::function<std::optional<Value>(const std::string&)> oneOf(NamedValues<Value> values)
{
    return [values = std::move(values)](const std::string& text) -> std::optional<Value> {
        const auto found = std::ranges::find(values, text, &std::pair<std::string, Value>::first);
        return found == values.end() ? std::nullopt : std::optional<Value>(found->second);
    };
}

} // namespace twinlamp::app

// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/option_values.h"

#include "core/link/channels.h"

#include <charconv>
#include <cmath>
#include <cstdint>

namespace twinlamp::app {

std::optional<double> parseNumber(const std::string& text)
{
    double value = 0.0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc {} || end != text.data() + text.size() || !std::isfinite(value)) {
        return std::nullopt;
    }
    return value;
}

std::optional<double> parseMs(const std::string& text)
{
    constexpr double mostMs = 3'600'000.0;
    const auto value = parseNumber(text);
    return value && std::abs(*value) <= mostMs ? value : std::nullopt;
}

std::optional<double> parsePositiveMs(const std::string& text)
{
    const auto value = parseMs(text);
    return value && *value > 0.0 ? value : std::nullopt;
}

std::optional<double> parseNotNegativeMs(const std::string& text)
{
    const auto value = parseMs(text);
    return value && *value >= 0.0 ? value : std::nullopt;
}

std::optional<double> parseLineTimeUs(const std::string& text)
{
    constexpr double mostUs = 100'000.0; // a picture of 640 rows would take a minute
    const auto value = parseNumber(text);
    return value && std::abs(*value) <= mostUs ? value : std::nullopt;
}

std::optional<FrameRate> parseRate(const std::string& text)
{
    constexpr double mostHz = 1e6;
    const auto rate = parseFrameRate(text);
    constexpr std::int64_t mostNum = 1'000'000'000'000'000; // a fraction of longer numbers is none
    const bool plausible
        = rate && rate->num >= rate->den && rate->num <= mostNum && rate->hz() <= mostHz;
    return plausible ? rate : std::nullopt;
}

std::optional<int> parseThreads(const std::string& text)
{
    constexpr int most = 256;
    const auto value = parseNumber(text);
    if (!value || *value < 1 || *value > most || std::floor(*value) != *value) {
        return std::nullopt;
    }
    return static_cast<int>(*value);
}

std::optional<int> parsePressNumber(const std::string& text)
{
    constexpr int most = 1'000'000;
    const auto value = parseNumber(text);
    return value && *value >= 1 && *value <= most && std::floor(*value) == *value
        ? std::optional(static_cast<int>(*value))
        : std::nullopt;
}

std::optional<std::string> readPanel(const std::string& text, measure::MeasureOptions& options)
{
    if (const auto rect = parseRect(text)) {
        options.panel = rect;
        options.panelCorners.reset();
        return std::nullopt;
    }
    const auto quad = parseQuad(text);
    if (!quad) {
        return "'" + text
            + "' is neither a rectangle X,Y,W,H nor four corners X1,Y1,X2,Y2,X3,Y3,X4,Y4 in pixels "
              "of the upright picture, for example 120,80,320,240 or "
              "120,80,440,92,436,330,118,310";
    }
    if (const auto problem = quadProblem(*quad)) {
        return "the corners " + text + " " + *problem;
    }
    setPanelCorners(options, *quad);
    return std::nullopt;
}

std::optional<double> parsePositive(const std::string& text)
{
    const auto value = parseNumber(text);
    return value && *value > 0.0 ? value : std::nullopt;
}

std::optional<link::PictureSize> parsePictureSize(const std::string& text)
{
    const std::size_t cross = text.find('x');
    if (cross == std::string::npos) {
        return std::nullopt;
    }
    constexpr int most = 65'536;
    const auto width = parseWhole(text.substr(0, cross), most);
    const auto height = parseWhole(text.substr(cross + 1), most);
    if (!width || !height || *width == 0 || *height == 0) {
        return std::nullopt;
    }
    return link::PictureSize {static_cast<double>(*width), static_cast<double>(*height)};
}

std::optional<double> parseChannelMhz(const std::string& text)
{
    const auto& channels = link::raceChannels();
    const auto named = std::ranges::find(channels, text, &link::RaceChannel::name);
    return named != channels.end() ? std::optional(named->centreMhz) : parsePositive(text);
}

} // namespace twinlamp::app

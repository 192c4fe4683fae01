// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/units.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <numeric>

namespace twinlamp {

namespace {

std::int64_t nsFromMs(double ms) { return static_cast<std::int64_t>(std::llround(ms * 1e6)); }

std::optional<std::int64_t> parseInteger(std::string_view text)
{
    std::int64_t value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc {} || end != text.data() + text.size()) {
        return std::nullopt;
    }
    return value;
}

FrameRate reduced(std::int64_t num, std::int64_t den)
{
    const std::int64_t divisor = std::gcd(num, den);
    return {num / divisor, den / divisor};
}

std::optional<FrameRate> parseDecimalRate(std::string_view text)
{
    const std::size_t point = text.find('.');
    if (point == std::string_view::npos) {
        const auto whole = parseInteger(text);
        return whole && *whole > 0 ? std::optional<FrameRate>({*whole, 1}) : std::nullopt;
    }
    // Nine decimals keep num and den far from overflow and are finer than any clock here.
    constexpr std::size_t maxDecimals = 9;
    const std::string_view decimals = text.substr(point + 1, maxDecimals);
    const std::string_view rest = text.substr(point + 1);
    if (point > 9 || rest.empty()
        || !std::ranges::all_of(rest, [](char c) { return c >= '0' && c <= '9'; })) {
        return std::nullopt;
    }
    const auto whole
        = point == 0 ? std::optional<std::int64_t>(0) : parseInteger(text.substr(0, point));
    const auto fraction = parseInteger(decimals);
    if (!whole || !fraction || *whole < 0) {
        return std::nullopt;
    }
    std::int64_t den = 1;
    for (std::size_t i = 0; i < decimals.size(); ++i) {
        den *= 10;
    }
    const std::int64_t num = *whole * den + *fraction;
    return num > 0 ? std::optional<FrameRate>(reduced(num, den)) : std::nullopt;
}

bool isPowerOfTenDivisor(std::int64_t den)
{
    constexpr std::int64_t largestDecimalDen = 1'000'000'000;
    return largestDecimalDen % den == 0;
}

} // namespace

Latency latencyFromMs(double ms) { return {nsFromMs(ms)}; }

RealTime realTimeFromMs(double ms) { return {nsFromMs(ms)}; }

std::optional<FrameRate> parseFrameRate(std::string_view text)
{
    const std::size_t slash = text.find('/');
    if (slash == std::string_view::npos) {
        return parseDecimalRate(text);
    }
    const auto num = parseInteger(text.substr(0, slash));
    const auto den = parseInteger(text.substr(slash + 1));
    if (!num || !den || *num <= 0 || *den <= 0) {
        return std::nullopt;
    }
    return reduced(*num, *den);
}

FrameRate frameRateFromHz(double hz)
{
    constexpr std::int64_t microhertz = 1'000'000;
    const auto num = static_cast<std::int64_t>(std::llround(hz * static_cast<double>(microhertz)));
    const std::int64_t common = std::max<std::int64_t>(1, std::gcd(num, microhertz));
    return {num / common, microhertz / common};
}

std::string toText(FrameRate rate)
{
    if (rate.den == 1) {
        return std::to_string(rate.num);
    }
    if (!rate.isPositive() || !isPowerOfTenDivisor(rate.den)) {
        return std::to_string(rate.num) + "/" + std::to_string(rate.den);
    }
    std::int64_t remainder = rate.num % rate.den;
    std::string text = std::to_string(rate.num / rate.den) + ".";
    while (remainder != 0) {
        remainder *= 10;
        text += static_cast<char>('0' + remainder / rate.den);
        remainder %= rate.den;
    }
    return text;
}

RectPx intersection(RectPx a, RectPx b)
{
    const int left = std::max(a.x, b.x);
    const int top = std::max(a.y, b.y);
    const int right = std::min(a.right(), b.right());
    const int bottom = std::min(a.bottom(), b.bottom());
    return {left, top, std::max(0, right - left), std::max(0, bottom - top)};
}

std::optional<RectPx> parseRect(std::string_view text)
{
    std::array<int, 4> values {};
    for (std::size_t i = 0; i < values.size(); ++i) {
        const std::size_t comma = text.find(',');
        if ((comma == std::string_view::npos) != (i + 1 == values.size())) {
            return std::nullopt;
        }
        const auto number = parseInteger(text.substr(0, comma));
        constexpr std::int64_t largestSidePx = 65536;
        if (!number || std::abs(*number) > largestSidePx) {
            return std::nullopt;
        }
        values[i] = static_cast<int>(*number);
        text = comma == std::string_view::npos ? std::string_view {} : text.substr(comma + 1);
    }
    const RectPx rect {values[0], values[1], values[2], values[3]};
    return rect.isEmpty() ? std::nullopt : std::optional<RectPx>(rect);
}

} // namespace twinlamp

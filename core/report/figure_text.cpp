// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/figure_text.h"

#include "core/base/contracts.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

namespace twinlamp::report {

namespace {

constexpr int usualDecimals = 2;
constexpr int mostDecimals = 6;

} // namespace

int decimalsFor(double halfWidth)
{
    if (!std::isfinite(halfWidth) || halfWidth <= 0.0) {
        return usualDecimals;
    }
    const int exponent = static_cast<int>(std::floor(std::log10(halfWidth)));
    const double leading = halfWidth / std::pow(10.0, exponent);
    // 2.95 and more rounds to 3 with two digits: one digit then says the same.
    constexpr double endOfTwoDigits = 2.95;
    const int digits = leading < endOfTwoDigits ? 2 : 1;
    return std::clamp(digits - 1 - exponent, 0, mostDecimals);
}

std::string fixedText(double value, int decimals)
{
    TL_EXPECTS(decimals >= 0);
    // 309 digits before the point for the largest double, and the decimals.
    std::array<char, 400> text {};
    const auto end = std::to_chars(
        text.data(), text.data() + text.size(), value, std::chars_format::fixed, decimals);
    TL_EXPECTS(end.ec == std::errc {});
    const std::string digits(text.data(), end.ptr);
    const bool isZero = digits.find_first_not_of("-0.") == std::string::npos;
    return isZero && digits.front() == '-' ? digits.substr(1) : digits;
}

FigureText figureText(double value, std::optional<double> halfWidth)
{
    if (!halfWidth) {
        return {fixedText(value, usualDecimals), {}};
    }
    const int decimals = decimalsFor(*halfWidth);
    return {fixedText(value, decimals), fixedText(*halfWidth, decimals)};
}

std::string exactMsText(std::int64_t ns)
{
    constexpr std::int64_t nsPerMs = 1'000'000;
    const std::int64_t whole = std::abs(ns / nsPerMs);
    const std::int64_t rest = std::abs(ns % nsPerMs);
    std::string text = (ns < 0 ? "-" : "") + std::to_string(whole);
    if (rest == 0) {
        return text;
    }
    std::string decimals = std::to_string(nsPerMs + rest).substr(1);
    decimals.erase(decimals.find_last_not_of('0') + 1);
    return text + "." + decimals;
}

double roundedMs(double ms)
{
    constexpr double nsPerMs = 1e6;
    return std::round(ms * nsPerMs) / nsPerMs;
}

} // namespace twinlamp::report

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace twinlamp {

/// Number of a shown frame of one clip, from 0, in presentation order.
struct FrameIndex
{
    std::int64_t value = 0;
    auto operator<=>(const FrameIndex&) const = default;
};

/// Difference of two instants of real time. Unit: ns.
struct Latency
{
    std::int64_t ns = 0;
    auto operator<=>(const Latency&) const = default;
};

/// Instant of real time, counted from the start of the exposure of the clip's first shown frame.
/// Unit: ns.
struct RealTime
{
    std::int64_t ns = 0;
    auto operator<=>(const RealTime&) const = default;
};

constexpr Latency operator-(RealTime a, RealTime b) { return {a.ns - b.ns}; }

constexpr RealTime operator+(RealTime a, Latency b) { return {a.ns + b.ns}; }

constexpr RealTime operator-(RealTime a, Latency b) { return {a.ns - b.ns}; }

constexpr Latency operator+(Latency a, Latency b) { return {a.ns + b.ns}; }

constexpr Latency operator-(Latency a, Latency b) { return {a.ns - b.ns}; }

/// Instant on the file's own clock, where slow motion plays slowly. Unit: ns.
/// Two of them cannot be subtracted on purpose: only footage::CaptureClock leads to real time.
struct PlayTime
{
    std::int64_t ns = 0;
    auto operator<=>(const PlayTime&) const = default;
};

[[nodiscard]] constexpr double toMs(Latency t) { return static_cast<double>(t.ns) * 1e-6; }

[[nodiscard]] constexpr double toMs(RealTime t) { return static_cast<double>(t.ns) * 1e-6; }

/// Nearest nanosecond to a time in ms.
[[nodiscard]] Latency latencyFromMs(double ms);
[[nodiscard]] RealTime realTimeFromMs(double ms);

/// Frames per second as an exact fraction, den > 0. Rates are compared and stored as given, never
/// as double.
struct FrameRate
{
    std::int64_t num = 0;
    std::int64_t den = 1;
    bool operator==(const FrameRate&) const = default;

    [[nodiscard]] double hz() const { return static_cast<double>(num) / static_cast<double>(den); }

    [[nodiscard]] double intervalMs() const
    {
        return 1e3 * static_cast<double>(den) / static_cast<double>(num);
    }

    [[nodiscard]] bool isPositive() const { return num > 0 && den > 0; }
};

/// Reads "240", "239.76" or "240000/1001"; nothing where the text is no positive rate.
[[nodiscard]] std::optional<FrameRate> parseFrameRate(std::string_view text);
/// As a fraction of whole microhertz: far finer than any clock is known.
[[nodiscard]] FrameRate frameRateFromHz(double hz);
/// Shortest text that parseFrameRate reads back as the same fraction.
[[nodiscard]] std::string toText(FrameRate rate);

/// Rectangle in pixels of the upright picture (after the rotation flag), half-open: [x, x + width).
struct RectPx
{
    int x = 0;
    int y = 0;
    int width = 0;
    int height = 0;
    bool operator==(const RectPx&) const = default;

    [[nodiscard]] int right() const { return x + width; }

    [[nodiscard]] int bottom() const { return y + height; }

    [[nodiscard]] bool isEmpty() const { return width <= 0 || height <= 0; }

    [[nodiscard]] std::int64_t areaPx() const
    {
        return isEmpty() ? 0 : std::int64_t {width} * height;
    }
};

[[nodiscard]] RectPx intersection(RectPx a, RectPx b);
/// Reads the command line's "X,Y,W,H"; nothing where the text is something else or the rectangle is
/// empty.
[[nodiscard]] std::optional<RectPx> parseRect(std::string_view text);

} // namespace twinlamp

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/quad_px.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdint>

namespace twinlamp {

namespace {

// Sine of the flattest corner (174 degrees): beyond it the perspective is not of this world.
constexpr double flattestCorner = 0.1;

double lengthPx(CornerPx from, CornerPx to) { return std::hypot(to.x - from.x, to.y - from.y); }

// Sine of the turn at `b` on the way from `a` to `c`; positive: to the right, as a clock goes.
double turnAt(CornerPx a, CornerPx b, CornerPx c)
{
    const auto cross = static_cast<double>(
        std::int64_t {b.x - a.x} * (c.y - b.y) - std::int64_t {b.y - a.y} * (c.x - b.x));
    return cross / (lengthPx(a, b) * lengthPx(b, c));
}

std::optional<int> parseCoordinate(std::string_view text)
{
    constexpr int farthestPx = 65536;
    int value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc {} || end != text.data() + text.size() || std::abs(value) > farthestPx) {
        return std::nullopt;
    }
    return value;
}

} // namespace

RectPx boundingRect(const QuadPx& quad)
{
    const auto [left, right] = std::ranges::minmax(quad.corners, {}, &CornerPx::x);
    const auto [top, bottom] = std::ranges::minmax(quad.corners, {}, &CornerPx::y);
    return {left.x, top.y, right.x - left.x, bottom.y - top.y};
}

QuadPx quadOf(RectPx rect)
{
    return {{CornerPx {rect.x, rect.y}, CornerPx {rect.right(), rect.y},
        CornerPx {rect.right(), rect.bottom()}, CornerPx {rect.x, rect.bottom()}}};
}

std::optional<std::string> quadProblem(const QuadPx& quad)
{
    const auto at = [&](std::size_t i) { return quad.corners[i % cornerCount]; };
    std::size_t clockwise = 0;
    std::size_t counterClockwise = 0;
    for (std::size_t i = 0; i < cornerCount; ++i) {
        if (lengthPx(at(i), at(i + 1)) < shortestQuadSidePx) {
            return "lie too close together: each side needs " + std::to_string(shortestQuadSidePx)
                + " pixels or more";
        }
        const double turn = turnAt(at(i), at(i + 1), at(i + 2));
        clockwise += turn > flattestCorner ? 1 : 0;
        counterClockwise += turn < -flattestCorner ? 1 : 0;
    }
    if (clockwise == cornerCount) {
        return std::nullopt;
    }
    if (counterClockwise == cornerCount) {
        return "go round counter-clockwise: give top left, top right, bottom right, bottom left";
    }
    return "do not bound a panel, for two sides cross or a corner is dented or flat: give top "
           "left, "
           "top right, bottom right, bottom left";
}

std::optional<QuadPx> parseQuad(std::string_view text)
{
    QuadPx quad;
    for (std::size_t i = 0; i < 2 * cornerCount; ++i) {
        const std::size_t comma = text.find(',');
        if ((comma == std::string_view::npos) != (i + 1 == 2 * cornerCount)) {
            return std::nullopt;
        }
        const auto value = parseCoordinate(text.substr(0, comma));
        if (!value) {
            return std::nullopt;
        }
        CornerPx& corner = quad.corners[i / 2];
        (i % 2 == 0 ? corner.x : corner.y) = *value;
        text = comma == std::string_view::npos ? std::string_view {} : text.substr(comma + 1);
    }
    return quad;
}

std::string toText(const QuadPx& quad)
{
    std::string text;
    for (const CornerPx corner : quad.corners) {
        text += (text.empty() ? "" : ",") + std::to_string(corner.x) + ","
            + std::to_string(corner.y);
    }
    return text;
}

} // namespace twinlamp

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace twinlamp {

/// A point where pixels meet: (x, y) is the top left corner of pixel (x, y), so that the corners of
/// a RectPx are (x, y) to (right(), bottom()). Unit: pixels of the upright picture.
struct CornerPx
{
    int x = 0;
    int y = 0;
    bool operator==(const CornerPx&) const = default;
};

/// Four corners of a panel that is seen turned or at an angle: top left, top right, bottom right
/// and bottom left of the picture that the panel itself shows, which goes round clockwise.
struct QuadPx
{
    std::array<CornerPx, 4> corners {};
    bool operator==(const QuadPx&) const = default;
};

inline constexpr std::size_t cornerCount = 4;
inline constexpr int shortestQuadSidePx = 8;

/// Smallest upright rectangle around the corners.
[[nodiscard]] RectPx boundingRect(const QuadPx& quad);
/// The corners of an upright rectangle.
[[nodiscard]] QuadPx quadOf(RectPx rect);
/// Why four corners cannot be those of a panel, as the end of a sentence that begins with "the
/// corners"; nothing where they can: clockwise, bulging outward at each corner, no side short.
[[nodiscard]] std::optional<std::string> quadProblem(const QuadPx& quad);
/// Reads "X1,Y1,X2,Y2,X3,Y3,X4,Y4"; nothing where the text is something else. Whether the corners
/// can be a panel's is for quadProblem().
[[nodiscard]] std::optional<QuadPx> parseQuad(std::string_view text);
/// Text that parseQuad reads back.
[[nodiscard]] std::string toText(const QuadPx& quad);

/// Something with `panel` and `panelCorners`: the rectangle is always the one around the corners.
template<typename Regions> void setPanelCorners(Regions& regions, const QuadPx& quad)
{
    regions.panelCorners = quad;
    regions.panel = boundingRect(quad);
}

} // namespace twinlamp

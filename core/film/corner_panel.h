// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/light_maps.h"

namespace twinlamp::film {

/// Size of a panel given by its corners, in pixels of its own: those of its longer sides.
struct PanelSize
{
    int widthPx = 1;
    int heightPx = 1;
};

[[nodiscard]] PanelSize ownSizeOf(const QuadPx& corners);

/// Distance of a point from the panel; not positive inside it. Unit: px.
[[nodiscard]] double distanceFrom(const QuadPx& corners, double x, double y);

/// The panel as it is seen turned or at an angle: a pixel shows what lies under its middle, base
/// picture, lamp and sweep alike. @pre scene.panel.corners
[[nodiscard]] PanelMap turnedPanelMap(const Scene& scene, const footage::Orientation& orientation);

} // namespace twinlamp::film

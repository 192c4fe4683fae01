// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"
#include "core/film/panel_light.h"
#include "core/film/scene.h"
#include "core/footage/picture.h"

#include <optional>
#include <vector>

namespace twinlamp::film {

/// Where a spot's light comes from.
enum class LightSource : std::uint8_t
{
    ReferenceLamp,
    LinkLamp, ///< the lamp before the link camera, in direct view
    PanelLamp ///< the lamp's image on the panel
};

/// Light that one spot adds when its source is fully lit. Rows of the stored picture.
struct SpotMap
{
    RectPx rect; ///< stored
    LightSource source = LightSource::ReferenceLamp;
    Colour colour {};
    std::vector<float> gain; ///< rect's pixels, row by row
};

/// What a pixel shows of a panel that is given by its corners.
struct PanelPixel
{
    bool isPanel = false; ///< else it is beside the panel
    std::size_t group = 0;
    std::size_t basePixel = 0; ///< in PanelMap::base, before its motion
};

/// The visible part of the panel in the stored picture.
struct PanelMap
{
    RectPx rect; ///< stored
    bool groupsByColumn = false; ///< a group is a stored column, else a stored row
    std::vector<std::size_t> groupOf; ///< group of each stored row or column of rect
    /// Of a panel given by its corners, rect's pixels; groupOf is then empty, and `base` lies in
    /// the panel's own rows, twice as wide as they are.
    std::vector<PanelPixel> pixels;
    std::size_t lampGroup = 0; ///< group of the middle of the lamp's image
    Colour colour {}; ///< of the lamp's light
    std::vector<float> lampGain; ///< light added when the lamp is lit, rect's pixels
    /// Base picture, longer than rect along the direction of its motion by one period.
    std::vector<float> base;
    int baseStride = 0;
    bool movesByRow = false; ///< the picture moves across stored rows, else along them
    int moveSign = 1;
    int periodPx = 1;

    /// Group that a pixel of rect shows; nothing beside the panel.
    [[nodiscard]] std::optional<std::size_t> groupAt(std::size_t column, std::size_t row) const;
};

/// Everything in the picture as light, in stored orientation.
struct LightMaps
{
    std::vector<float> room; ///< grey, the whole stored picture
    std::vector<SpotMap> spots;
    PanelMap panel; ///< empty rect without one
};

/// Visible part of the panel, upright.
[[nodiscard]] RectPx visiblePanel(const Scene& scene);
/// Light of a fully lit spot at a point of the upright picture.
[[nodiscard]] double spotLight(const Spot& spot, double x, double y);
/// Centre of the lamp's image in pixels of the upright picture.
[[nodiscard]] Spot lampImageInPicture(const Scene& scene);
/// Groups of the visible panel in upright order: rows from the top, or columns from the left.
[[nodiscard]] std::vector<PanelGroup> panelGroups(const Scene& scene);
[[nodiscard]] bool sweepsSideways(Direction direction);
/// Box around the light of a spot without its halo, inside the picture.
[[nodiscard]] RectPx spotBox(const Spot& spot, double marginPx, RectPx inside);

[[nodiscard]] LightMaps buildLightMaps(const Scene& scene, const footage::Orientation& orientation);

} // namespace twinlamp::film

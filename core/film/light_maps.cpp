// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/light_maps.h"

#include "core/base/homography.h"
#include "core/film/corner_panel.h"
#include "core/film/texture.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace twinlamp::film {

namespace {

constexpr int bezelPx = 10; // dark frame around the panel
constexpr double bezelShare = 0.3; // of the room's light that the frame throws back

RectPx wholePicture(const Scene& scene) { return {0, 0, scene.widthPx, scene.heightPx}; }

bool isCovered(const Spot& spot, double dx, double dy)
{
    const double hidden = 2.0 * spot.radiusPx * spot.coveredShare - spot.radiusPx;
    if (spot.coveredShare <= 0.0) {
        return false;
    }
    switch (spot.coveredSide) {
    case Side::Left:
        return dx < hidden;
    case Side::Right:
        return -dx < hidden;
    case Side::Top:
        return dy < hidden;
    case Side::Bottom:
        return -dy < hidden;
    }
    return false;
}

double reachPx(const Spot& spot)
{
    constexpr double haloEnds = 3.5;
    return spot.haloBrightness > 0.0 ? std::max(spot.softEdgePx, haloEnds * spot.haloPx)
                                     : spot.softEdgePx;
}

/// Calls visit(stored index within rect, upright x, upright y) for each pixel of a stored
/// rectangle.
template<typename Visit>
void forEachPixel(RectPx stored, const footage::Orientation& orientation, Visit visit)
{
    std::size_t i = 0;
    for (int y = stored.y; y < stored.bottom(); ++y) {
        for (int x = stored.x; x < stored.right(); ++x, ++i) {
            const RectPx upright = footage::toUpright({x, y, 1, 1}, orientation);
            visit(i, upright.x, upright.y);
        }
    }
}

SpotMap spotMap(const Scene& scene, const Spot& spot, LightSource source,
    const footage::Orientation& orientation)
{
    SpotMap map;
    map.source = source;
    map.colour = spot.colour;
    map.rect = footage::toStored(spotBox(spot, reachPx(spot), wholePicture(scene)), orientation);
    map.gain.resize(static_cast<std::size_t>(map.rect.areaPx()));
    forEachPixel(map.rect, orientation, [&](std::size_t i, int x, int y) {
        map.gain[i] = static_cast<float>(spotLight(spot, x + 0.5, y + 0.5));
    });
    return map;
}

std::vector<float> roomLight(const Scene& scene, const footage::Orientation& orientation)
{
    const Room& room = scene.room;
    const Texture texture(scene.seed, Stream::RoomTexture, scene.widthPx, scene.heightPx,
        room.texturePx, room.textureContrast);
    const RectPx stored {0, 0, orientation.storedWidthPx, orientation.storedHeightPx};
    std::vector<float> light(static_cast<std::size_t>(stored.areaPx()));
    const bool withPanel = scene.view == GoggleView::Link;
    const auto inPanel = [&](int x, int y, int border) {
        const RectPx& rect = scene.panel.rect;
        return scene.panel.corners ? distanceFrom(*scene.panel.corners, x + 0.5, y + 0.5) <= border
                                   : x >= rect.x - border && x < rect.right() + border
                && y >= rect.y - border && y < rect.bottom() + border;
    };
    forEachPixel(stored, orientation, [&](std::size_t i, int x, int y) {
        double value = room.brightness * static_cast<double>(texture.at(x, y));
        if (withPanel && inPanel(x, y, 0)) {
            value = 0.0; // the panel's own light is far brighter than what it throws back
        } else if (withPanel && inPanel(x, y, bezelPx)) {
            value *= bezelShare;
        }
        light[i] = static_cast<float>(value);
    });
    return light;
}

void buildBase(const Scene& scene, const footage::Orientation& orientation, PanelMap& map)
{
    const Panel& panel = scene.panel;
    const Texture texture(scene.seed, Stream::PanelTexture, panel.rect.width, panel.rect.height,
        panel.texturePx, panel.textureContrast);
    map.periodPx = panel.rect.width;
    map.movesByRow = orientation.rotationDeg % 180 != 0;
    const RectPx origin = footage::toUpright({map.rect.x, map.rect.y, 1, 1}, orientation);
    const RectPx next = footage::toUpright(
        {map.rect.x + (map.movesByRow ? 0 : 1), map.rect.y + (map.movesByRow ? 1 : 0), 1, 1},
        orientation);
    map.moveSign = next.x > origin.x ? 1 : -1;
    RectPx extended = map.rect;
    if (map.movesByRow) {
        extended.height += map.periodPx;
    } else {
        extended.width += map.periodPx;
    }
    map.baseStride = extended.width;
    map.base.resize(static_cast<std::size_t>(extended.areaPx()));
    forEachPixel(extended, orientation, [&](std::size_t i, int x, int y) {
        const float share = texture.at(x - panel.rect.x, y - panel.rect.y);
        map.base[i] = static_cast<float>(panel.brightness) * share;
    });
}

PanelMap panelMap(const Scene& scene, const footage::Orientation& orientation)
{
    PanelMap map;
    const RectPx visible = visiblePanel(scene);
    map.rect = footage::toStored(visible, orientation);
    map.colour = scene.panel.lampImage.colour;
    const bool sideways = sweepsSideways(scene.panel.direction);
    map.groupsByColumn = sideways == (orientation.rotationDeg % 180 == 0);
    const int count = map.groupsByColumn ? map.rect.width : map.rect.height;
    const auto groupAt = [&](int x, int y) {
        return static_cast<std::size_t>(sideways ? x - visible.x : y - visible.y);
    };
    for (int i = 0; i < count; ++i) {
        const RectPx stored {map.rect.x + (map.groupsByColumn ? i : 0),
            map.rect.y + (map.groupsByColumn ? 0 : i), 1, 1};
        const RectPx upright = footage::toUpright(stored, orientation);
        map.groupOf.push_back(groupAt(upright.x, upright.y));
    }
    const Spot lamp = lampImageInPicture(scene);
    const int lampX = std::clamp(static_cast<int>(lamp.x), visible.x, visible.right() - 1);
    const int lampY = std::clamp(static_cast<int>(lamp.y), visible.y, visible.bottom() - 1);
    map.lampGroup = groupAt(lampX, lampY);
    map.lampGain.resize(static_cast<std::size_t>(map.rect.areaPx()));
    forEachPixel(map.rect, orientation, [&](std::size_t i, int x, int y) {
        map.lampGain[i] = static_cast<float>(scene.panel.spill + spotLight(lamp, x + 0.5, y + 0.5));
    });
    buildBase(scene, orientation, map);
    return map;
}

} // namespace

double spotLight(const Spot& spot, double x, double y)
{
    const double dx = x - spot.x;
    const double dy = y - spot.y;
    if (isCovered(spot, dx, dy)) {
        return 0.0;
    }
    const double out = std::hypot(dx, dy) - spot.radiusPx;
    double light = 0.0;
    if (out <= 0.0) {
        light = spot.brightness;
    } else if (out < spot.softEdgePx) {
        light = spot.brightness * 0.5 * (1.0 + std::cos(std::numbers::pi * out / spot.softEdgePx));
    }
    if (spot.haloBrightness > 0.0) {
        const double far = std::max(0.0, out) / spot.haloPx;
        light += spot.haloBrightness * std::exp(-0.5 * far * far);
    }
    return light;
}

std::optional<std::size_t> PanelMap::groupAt(std::size_t column, std::size_t row) const
{
    if (pixels.empty()) {
        return groupOf[groupsByColumn ? column : row];
    }
    const PanelPixel& pixel = pixels[row * static_cast<std::size_t>(rect.width) + column];
    return pixel.isPanel ? std::optional(pixel.group) : std::nullopt;
}

RectPx visiblePanel(const Scene& scene)
{
    return intersection(scene.panel.rect, wholePicture(scene));
}

Spot lampImageInPicture(const Scene& scene)
{
    Spot spot = scene.panel.lampImage;
    if (scene.panel.corners) {
        const PlanePoint middle = Homography(*scene.panel.corners).toPicture({spot.x, spot.y});
        spot.x = middle.x;
        spot.y = middle.y;
        return spot;
    }
    spot.x = scene.panel.rect.x + spot.x * scene.panel.rect.width;
    spot.y = scene.panel.rect.y + spot.y * scene.panel.rect.height;
    return spot;
}

bool sweepsSideways(Direction direction)
{
    return direction == Direction::LeftToRight || direction == Direction::RightToLeft;
}

std::vector<PanelGroup> panelGroups(const Scene& scene)
{
    const RectPx visible = visiblePanel(scene);
    const RectPx& whole = scene.panel.rect;
    const Direction direction = scene.panel.direction;
    const bool sideways = sweepsSideways(direction);
    int count = sideways ? visible.width : visible.height;
    int first = sideways ? visible.x - whole.x : visible.y - whole.y;
    int length = sideways ? whole.width : whole.height;
    if (scene.panel.corners) {
        const PanelSize own = ownSizeOf(*scene.panel.corners);
        count = sideways ? own.widthPx : own.heightPx;
        first = 0;
        length = count;
    }
    std::vector<PanelGroup> groups;
    for (int i = 0; i < count; ++i) {
        const double along = (first + i + 0.5) / length;
        PanelGroup group {along, sideways ? scene.panel.lampImage.y : along};
        if (direction == Direction::Up || direction == Direction::RightToLeft) {
            group.sweepShare = 1.0 - along;
        } else if (direction == Direction::AllAtOnce) {
            group.sweepShare = 0.0;
        }
        groups.push_back(group);
    }
    return groups;
}

RectPx spotBox(const Spot& spot, double marginPx, RectPx inside)
{
    const double reach = spot.radiusPx + marginPx;
    const int left = static_cast<int>(std::floor(spot.x - reach));
    const int top = static_cast<int>(std::floor(spot.y - reach));
    const int right = static_cast<int>(std::ceil(spot.x + reach));
    const int bottom = static_cast<int>(std::ceil(spot.y + reach));
    return intersection({left, top, right - left, bottom - top}, inside);
}

LightMaps buildLightMaps(const Scene& scene, const footage::Orientation& orientation)
{
    LightMaps maps;
    maps.room = roomLight(scene, orientation);
    const auto add = [&](const Spot& spot, LightSource source) {
        maps.spots.push_back(spotMap(scene, spot, source, orientation));
    };
    add(scene.referenceLamp, LightSource::ReferenceLamp);
    const bool direct = scene.view == GoggleView::Direct;
    if (direct) {
        add(lampImageInPicture(scene), LightSource::LinkLamp);
    } else {
        maps.panel = scene.panel.corners ? turnedPanelMap(scene, orientation)
                                         : panelMap(scene, orientation);
    }
    for (const Decoy& decoy : scene.decoys) {
        const bool panel = decoy.follows == Follows::Panel;
        add(decoy.spot,
            !panel       ? LightSource::ReferenceLamp
                : direct ? LightSource::LinkLamp
                         : LightSource::PanelLamp);
    }
    return maps;
}

} // namespace twinlamp::film

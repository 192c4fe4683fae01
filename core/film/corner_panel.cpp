// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/corner_panel.h"

#include "core/base/homography.h"
#include "core/film/texture.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace twinlamp::film {

namespace {

CornerPx at(const QuadPx& corners, std::size_t i) { return corners.corners[i % cornerCount]; }

double sidePx(const QuadPx& corners, std::size_t i)
{
    const CornerPx from = at(corners, i);
    const CornerPx to = at(corners, i + 1);
    return std::hypot(to.x - from.x, to.y - from.y);
}

void buildBase(const Scene& scene, PanelSize size, PanelMap& map)
{
    const Panel& panel = scene.panel;
    const Texture texture(scene.seed, Stream::PanelTexture, size.widthPx, size.heightPx,
        panel.texturePx, panel.textureContrast);
    map.periodPx = size.widthPx;
    map.baseStride = 2 * size.widthPx;
    for (int y = 0; y < size.heightPx; ++y) {
        for (int x = 0; x < map.baseStride; ++x) {
            map.base.push_back(static_cast<float>(panel.brightness) * texture.at(x, y));
        }
    }
}

} // namespace

PanelSize ownSizeOf(const QuadPx& corners)
{
    return {
        static_cast<int>(std::lround(std::max(sidePx(corners, 0), sidePx(corners, 2)))),
        static_cast<int>(std::lround(std::max(sidePx(corners, 1), sidePx(corners, 3)))),
    };
}

double distanceFrom(const QuadPx& corners, double x, double y)
{
    double farthest = -std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < cornerCount; ++i) {
        const CornerPx from = at(corners, i);
        const CornerPx to = at(corners, i + 1);
        const double across = (y - from.y) * (to.x - from.x) - (x - from.x) * (to.y - from.y);
        farthest = std::max(farthest, -across / sidePx(corners, i));
    }
    return farthest;
}

PanelMap turnedPanelMap(const Scene& scene, const footage::Orientation& orientation)
{
    const Panel& panel = scene.panel;
    const PanelSize size = ownSizeOf(*panel.corners);
    const Homography toOwn(*panel.corners);
    const bool sideways = sweepsSideways(panel.direction);
    Spot lamp = panel.lampImage;
    lamp.x *= size.widthPx;
    lamp.y *= size.heightPx;
    PanelMap map;
    map.rect = footage::toStored(panel.rect, orientation);
    map.colour = panel.lampImage.colour;
    const auto ownPixel = [](double share, int count) {
        return std::clamp(static_cast<int>(share * count), 0, count - 1);
    };
    const auto groupAt = [&](PlanePoint own) {
        return static_cast<std::size_t>(
            sideways ? ownPixel(own.x, size.widthPx) : ownPixel(own.y, size.heightPx));
    };
    map.lampGroup = groupAt({panel.lampImage.x, panel.lampImage.y});
    const auto pixels = static_cast<std::size_t>(map.rect.areaPx());
    map.lampGain.resize(pixels, 0.0F);
    map.pixels.resize(pixels);
    std::size_t i = 0;
    for (int y = map.rect.y; y < map.rect.bottom(); ++y) {
        for (int x = map.rect.x; x < map.rect.right(); ++x, ++i) {
            const RectPx upright = footage::toUpright({x, y, 1, 1}, orientation);
            const PlanePoint middle {upright.x + 0.5, upright.y + 0.5};
            if (distanceFrom(*panel.corners, middle.x, middle.y) > 0.0) {
                continue;
            }
            const PlanePoint own = toOwn.toPanel(middle);
            map.pixels[i] = {true, groupAt(own),
                static_cast<std::size_t>(ownPixel(own.y, size.heightPx) * 2 * size.widthPx
                    + ownPixel(own.x, size.widthPx))};
            map.lampGain[i] = static_cast<float>(
                panel.spill + spotLight(lamp, own.x * size.widthPx, own.y * size.heightPx));
        }
    }
    buildBase(scene, size, map);
    return map;
}

} // namespace twinlamp::film

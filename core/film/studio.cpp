// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/studio.h"

#include "core/film/random.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace twinlamp::film {

namespace {

footage::Orientation orientationOf(const Scene& scene)
{
    const bool lying = scene.file.rotationDeg % 180 != 0;
    return {scene.file.rotationDeg, lying ? scene.heightPx : scene.widthPx,
        lying ? scene.widthPx : scene.heightPx};
}

RegionSet regionsOf(const Scene& scene)
{
    constexpr double surroundings = 0.3; // of the lamp image's radius
    const RectPx picture {0, 0, scene.widthPx, scene.heightPx};
    const bool direct = scene.view == GoggleView::Direct;
    const Spot image = lampImageInPicture(scene);
    const RectPx panel = visiblePanel(scene);
    RegionSet regions;
    regions.reference = scene.referenceRegion.value_or(
        spotBox(scene.referenceLamp, scene.referenceLamp.softEdgePx, picture));
    regions.goggle = scene.goggleRegion.value_or(
        spotBox(image, image.softEdgePx + surroundings * image.radiusPx, direct ? picture : panel));
    if (!direct) {
        regions.panel = panel;
        regions.panelCorners = scene.panel.corners;
    }
    return regions;
}

} // namespace

Studio::Studio(const Scene& scene)
    : m_scene(scene)
    , m_edges(lampEdges(scene))
    , m_durationMs(sceneDurationMs(scene, m_edges))
    , m_cameraIntervalMs(
          scene.camera.captureRate.intervalMs() / (1.0 + scene.camera.rateErrorPpm * 1e-6))
    , m_orientation(orientationOf(scene))
    , m_referenceLamp(lampLight(scene.lamps, m_edges, 0.0, m_durationMs))
    , m_linkLamp(lampLight(scene.lamps, m_edges, scene.lamps.skewMs, m_durationMs))
    , m_link(scene, m_durationMs)
    , m_panel(m_scene, m_link, m_linkLamp, panelGroups(scene))
    , m_maps(buildLightMaps(scene, m_orientation))
    , m_regions(regionsOf(scene))
{
    chooseFrames();
}

void Studio::chooseFrames()
{
    const CameraLoss& loss = m_scene.camera.loss;
    const auto count = static_cast<std::int64_t>(std::floor(m_durationMs / m_cameraIntervalMs));
    const auto isLost = [&](std::int64_t k) {
        if (k <= 0) {
            return false; // the first shown frame is where time starts
        }
        if (std::ranges::find(loss.frames, k) != loss.frames.end()) {
            return true;
        }
        for (int back = 0; loss.share > 0.0 && back < loss.burst; ++back) {
            if (Random(m_scene.seed, Stream::CameraLoss, k - back).uniform() < loss.share) {
                return true;
            }
        }
        return false;
    };
    for (std::int64_t k = -m_scene.file.hiddenFrames; k < count; ++k) {
        if (!isLost(k)) {
            m_cameraFrames.push_back(k);
        }
    }
    const std::int64_t last = m_cameraFrames.empty() ? -1 : m_cameraFrames.back();
    m_lostFrames
        = last + 1 + m_scene.file.hiddenFrames - static_cast<std::int64_t>(m_cameraFrames.size());
}

Span Studio::exposure(std::int64_t frame, int storedRow) const
{
    const double start = static_cast<double>(frame) * m_cameraIntervalMs
        + storedRow * m_scene.camera.lineTimeUs * 1e-3;
    return {start, start + m_scene.camera.exposureMs};
}

std::vector<std::pair<std::size_t, double>> Studio::lampWeights(RectPx upright) const
{
    const PanelMap& map = m_maps.panel;
    const RectPx stored = footage::toStored(upright, m_orientation);
    const RectPx part = intersection(stored, map.rect);
    std::map<std::size_t, double> sums;
    for (int y = part.y; y < part.bottom(); ++y) {
        for (int x = part.x; x < part.right(); ++x) {
            const auto row = static_cast<std::size_t>(y - map.rect.y);
            const auto column = static_cast<std::size_t>(x - map.rect.x);
            const std::size_t pixel = row * static_cast<std::size_t>(map.rect.width) + column;
            if (const auto group = map.groupAt(column, row)) {
                sums[*group] += static_cast<double>(map.lampGain[pixel]);
            }
        }
    }
    std::vector<std::pair<std::size_t, double>> weights(sums.begin(), sums.end());
    for (auto& [group, weight] : weights) {
        weight /= static_cast<double>(stored.areaPx());
    }
    return weights;
}

} // namespace twinlamp::film

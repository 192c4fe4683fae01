// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/film/lamp_light.h"
#include "core/film/light_maps.h"
#include "core/film/link_model.h"
#include "core/film/panel_light.h"
#include "core/film/scene.h"
#include "core/footage/picture.h"

#include <cstdint>
#include <utility>
#include <vector>

namespace twinlamp::film {

/// A scene set up: all random draws made, all light known at any time. Neither copied nor moved,
/// because its parts point at each other. Safe to read from several threads.
class Studio
{
public:
    explicit Studio(const Scene& scene);
    Studio(const Studio&) = delete;
    Studio& operator=(const Studio&) = delete;
    ~Studio() = default;

    [[nodiscard]] const Scene& scene() const { return m_scene; }

    [[nodiscard]] double durationMs() const { return m_durationMs; }

    [[nodiscard]] const std::vector<LampEdge>& edges() const { return m_edges; }

    [[nodiscard]] const LampLight& referenceLamp() const { return m_referenceLamp; }

    [[nodiscard]] const LampLight& linkLamp() const { return m_linkLamp; }

    [[nodiscard]] const LinkModel& link() const { return m_link; }

    [[nodiscard]] const PanelLight& panel() const { return m_panel; }

    [[nodiscard]] const LightMaps& maps() const { return m_maps; }

    [[nodiscard]] const footage::Orientation& orientation() const { return m_orientation; }

    [[nodiscard]] bool isDirect() const { return m_scene.view == GoggleView::Direct; }

    /// Regions as a careful user would draw them.
    [[nodiscard]] const RegionSet& regions() const { return m_regions; }

    /// True frame interval of the camera. Unit: ms.
    [[nodiscard]] double cameraIntervalMs() const { return m_cameraIntervalMs; }

    /// Numbers of the frames in the file, ascending; 0 is the first shown one, lost ones are
    /// missing.
    [[nodiscard]] const std::vector<std::int64_t>& cameraFrames() const { return m_cameraFrames; }

    [[nodiscard]] std::int64_t lostFrameCount() const { return m_lostFrames; }

    /// Exposure of a stored row of a camera frame.
    [[nodiscard]] Span exposure(std::int64_t frame, int storedRow) const;

    /// Light that the lamp adds to a part of the upright picture, as a weighted sum over the
    /// panel's groups. The weights are means over all pixels of the part.
    [[nodiscard]] std::vector<std::pair<std::size_t, double>> lampWeights(RectPx upright) const;

private:
    void chooseFrames();

    Scene m_scene;
    std::vector<LampEdge> m_edges;
    double m_durationMs;
    double m_cameraIntervalMs;
    footage::Orientation m_orientation;
    LampLight m_referenceLamp;
    LampLight m_linkLamp;
    LinkModel m_link;
    PanelLight m_panel;
    LightMaps m_maps;
    RegionSet m_regions;
    std::vector<std::int64_t> m_cameraFrames;
    std::int64_t m_lostFrames = 0;
};

} // namespace twinlamp::film

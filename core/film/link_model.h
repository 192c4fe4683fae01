// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/lamp_light.h"
#include "core/film/scene.h"

#include <cstdint>
#include <optional>
#include <vector>

namespace twinlamp::film {

/// One frame of the link camera and its way to the panel.
struct LinkFrame
{
    std::int64_t number = 0;
    double startMs = 0.0; ///< exposure of its first row
    std::optional<double> readyMs; ///< may be shown from then on; empty: lost
};

/// One redraw of the panel.
struct Redraw
{
    double startMs = 0.0; ///< first row
    std::int64_t frame = 0; ///< number of the link frame that it shows
};

/// The link from its camera to the start of each redraw.
class LinkModel
{
public:
    /// @param untilMs  end of the clip
    LinkModel(const Scene& scene, double untilMs);

    [[nodiscard]] double frameIntervalMs() const { return m_intervalMs; }

    [[nodiscard]] double phaseMs() const { return m_phaseMs; }

    [[nodiscard]] const std::vector<LinkFrame>& frames() const { return m_frames; }

    [[nodiscard]] const std::vector<Redraw>& redraws() const { return m_redraws; }

    [[nodiscard]] double redrawIntervalMs() const { return m_redrawIntervalMs; }

    /// Exposure of the row at `share` of the link camera's picture (0 top, 1 bottom).
    [[nodiscard]] Span exposure(std::int64_t frame, double share) const;

private:
    void film(const Scene& scene, double untilMs);
    void redrawOnArrival(const Panel& panel);
    void redrawFreely(const Scene& scene, double untilMs);

    LinkCamera m_camera;
    double m_intervalMs = 0.0;
    double m_phaseMs = 0.0;
    double m_redrawIntervalMs = 0.0;
    std::vector<LinkFrame> m_frames; ///< frame numbers without gaps
    std::vector<Redraw> m_redraws;
};

/// By how much the earliest possible redraw of any row comes after the link camera has read that
/// row. Negative: the scene shows rows before they were filmed. Unit: ms.
[[nodiscard]] double earliestRowSlackMs(const Scene& scene);

} // namespace twinlamp::film

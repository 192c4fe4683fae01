// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/lamp_light.h"
#include "core/film/link_model.h"
#include "core/film/scene.h"

#include <cmath>
#include <optional>
#include <vector>

namespace twinlamp::film {

/// Pixels of the panel that are redrawn at the same moment and show the same row of the link
/// camera: a row of the panel, or a column where the sweep runs sideways. With a sideways sweep the
/// whole picture takes the link camera's row of the lamp.
struct PanelGroup
{
    double sweepShare = 0.0; ///< 0 first, 1 last in the sweep
    double linkShare = 0.0; ///< row of the link camera, 0 top, 1 bottom
};

/// What each group of the panel's pixels shows of the lamp over time: 0 as with the lamp dark, 1 as
/// with the lamp lit; and when the panel is lit at all (strobe).
class PanelLight
{
public:
    PanelLight(const Scene& scene, const LinkModel& link, const LampLight& lamp,
        std::vector<PanelGroup> groups);

    [[nodiscard]] std::size_t groupCount() const { return m_groups.size(); }

    [[nodiscard]] const PanelGroup& group(std::size_t g) const { return m_groups[g]; }

    /// Before the strobe.
    [[nodiscard]] const LightCurve& curve(std::size_t g) const { return m_curves[g]; }

    [[nodiscard]] const PulseTrain* strobe() const { return m_strobe ? &*m_strobe : nullptr; }

    /// Shift of the strobe's pulses at this group. Unit: ms.
    [[nodiscard]] double strobeOffsetMs(std::size_t g) const;
    /// Redraw of the group after the start of a redraw. Unit: ms.
    [[nodiscard]] double sweepMs(std::size_t g) const;

    /// Mean share of the lamp's light in the group over the span, strobe included.
    [[nodiscard]] double lampMean(std::size_t g, Span span, std::size_t& hint) const;
    /// Mean of the strobe over the span; 1 without one.
    [[nodiscard]] double strobeMean(std::size_t g, Span span) const;

    /// What the link camera sees of the lamp at the group's row in one of its frames, 0 to 1.
    [[nodiscard]] double filmed(std::size_t g, std::int64_t linkFrame) const;
    /// First link frame shown whose exposure of the group's row ends after `lampMs`.
    [[nodiscard]] std::optional<Redraw> firstRedraw(std::size_t g, double lampMs) const;
    /// First instant at which the group shows something that the lamp did after `lampMs`.
    [[nodiscard]] std::optional<double> firstSight(std::size_t g, double lampMs) const;

    /// Calls visit(link frame, weight) for each link frame whose picture the group shows during the
    /// span; the weights sum to the strobe's mean.
    template<typename Visit> void pictures(std::size_t g, Span span, Visit visit) const;

private:
    void buildStrobe(const Scene& scene);
    void buildCurve(const Scene& scene, std::size_t g);
    /// Integral over the span of the share of all pictures from change i on.
    [[nodiscard]] double shareFrom(double changeMs, std::size_t g, Span span) const;

    const LinkModel* m_link;
    const LampLight* m_lamp;
    double m_gain;
    std::vector<PanelGroup> m_groups;
    std::vector<LightCurve> m_curves;
    std::vector<Redraw> m_changes; ///< redraws that show another frame than the one before
    std::optional<PulseTrain> m_strobe;
    double m_scanMs = 0.0;
    double m_riseMs = 0.0;
    bool m_rolling = false;
};

template<typename Visit> void PanelLight::pictures(std::size_t g, Span span, Visit visit) const
{
    constexpr double forgotten = 8.0; // time constants after which an older picture is gone
    const double offset = sweepMs(g);
    const double whole = strobeMean(g, span);
    const auto later = [&](const Redraw& change) { return change.startMs + offset >= span.endMs; };
    std::size_t i = m_changes.size();
    while (i > 1 && later(m_changes[i - 1])) {
        --i;
    }
    double given = 0.0;
    for (; i > 0; --i) {
        const double start = m_changes[i - 1].startMs + offset;
        const bool oldest = i == 1 || start < span.startMs - forgotten * m_riseMs;
        const double upTo = oldest ? whole : shareFrom(start, g, span);
        visit(m_changes[i - 1].frame, upTo - given);
        given = upTo;
        if (oldest) {
            return;
        }
    }
}

} // namespace twinlamp::film

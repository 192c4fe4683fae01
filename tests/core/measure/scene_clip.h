// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/scene.h"
#include "core/film/trace_render.h"
#include "core/film/truth.h"
#include "core/measure/clip_analysis.h"

#include <gtest/gtest.h>
#include <string>
#include <vector>

namespace twinlamp::measure {

/// The region light of a scene, filmed without coding, and what is true of it.
class SceneClip
{
public:
    /// @param json  see samples/README.md; a scene that cannot be read fails the test
    explicit SceneClip(const std::string& json, bool withPanel = false)
        : m_studio(readScene(json))
        , m_truth(film::truthOf(readScene(json)))
    {
        const auto noise = film::TraceNoise::Camera;
        const RegionSet& regions = m_studio.regions();
        m_reference = film::renderRegion(m_studio, {regions.reference, 1, 1, 0}, noise, 0);
        m_goggle = film::renderRegion(m_studio, {regions.goggle, 1, 1, 0}, noise, 1);
        if (withPanel && regions.panel) {
            m_panel = film::renderRegion(
                m_studio, {*regions.panel, panelCells, panelCells, 100}, noise, 2);
        }
        const double intervalMs = m_truth.clip.captureRate.intervalMs();
        for (const std::int64_t frame : m_studio.cameraFrames()) {
            m_startMs.push_back(static_cast<double>(frame) * intervalMs);
        }
    }

    [[nodiscard]] const film::Truth& truth() const { return m_truth; }

    [[nodiscard]] double frameMs() const { return m_truth.clip.captureRate.intervalMs(); }

    [[nodiscard]] AnalysisInput input() const
    {
        const footage::Orientation& orientation = m_studio.orientation();
        AnalysisInput input;
        input.reference = m_reference.mean;
        input.referenceHigh = m_reference.clipped;
        input.goggle = m_goggle.mean;
        input.goggleHigh = m_goggle.clipped;
        input.startMs = m_startMs;
        input.frameIntervalMs = frameMs();
        input.storedRows = orientation.storedHeightPx;
        input.referenceStored = footage::toStored(m_studio.regions().reference, orientation);
        input.goggleStored = footage::toStored(m_studio.regions().goggle, orientation);
        if (!m_panel.cells.empty()) {
            input.panel = panel::CellTraces {panelCells, panelCells, m_panel.cells,
                footage::toStored(*m_studio.regions().panel, orientation)};
        }
        return input;
    }

    [[nodiscard]] Analysis analysed(const MeasureOptions& options = {}) const
    {
        return analyseClip(input(), options);
    }

private:
    static constexpr int panelCells = 12;

    static film::Scene readScene(const std::string& json)
    {
        const auto scene = film::parseScene(json, "test.json");
        EXPECT_TRUE(scene.has_value()) << (scene ? "" : scene.error().detail);
        return scene.value_or(film::Scene {});
    }

    film::Studio m_studio;
    film::Truth m_truth;
    film::RegionFilm m_reference;
    film::RegionFilm m_goggle;
    film::RegionFilm m_panel;
    std::vector<double> m_startMs;
};

} // namespace twinlamp::measure

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/truth.h"
#include "core/measure/clip_analysis.h"
#include "core/measure/region_scan.h"
#include "tests/accuracy/scene_classes.h"

#include <optional>
#include <vector>

namespace twinlamp::accuracy {

/// What the program made of one press whose latency both it and the truth know.
struct PressScore
{
    std::size_t truthIndex = 0;
    double errorFrames = 0.0; ///< latency, measured minus true
    double halfWidthFrames = 0.0; ///< stated, 95 %
    /// The first new picture shows so nearly a tenth of the step that a trace of noise decides
    /// whether first light is in it or a whole link frame later.
    bool jumps = false;
    std::optional<double> fullFrameErrorMs;
};

/// What the program made of one clip.
struct ClipScore
{
    int presses = 0; ///< true ones
    int missed = 0; ///< without a press at their time, or with a press but without its answer
    int invented = 0; ///< at a time when nothing was pressed, or with an answer that never came
    int setAside = 0; ///< by the program, for a printed reason
    std::vector<PressScore> scores; ///< presses that count, in time order
    std::optional<double> newFrameError; ///< share of the true interval
};

/// Light of a trial's clip as the scan of a file would give it, without coding. Owns what the
/// analyser's input points at.
class RegionFootage
{
public:
    RegionFootage(const Trial& trial, const film::Studio& studio, bool withPanel);

    [[nodiscard]] measure::AnalysisInput input() const;

private:
    void film(const Trial& trial, const film::Studio& studio);
    void removeRoom(const film::Studio& studio);

    measure::RegionRequest m_regions; ///< stored
    measure::RegionLight m_light;
    std::vector<float> m_panelAsRead; ///< before the room's light was taken out; empty: as it is
    std::vector<double> m_startMs;
    measure::AnalysisInput m_frame; ///< all but the spans
};

/// Compares by time and edge kind; the analyser has seen nothing of the truth.
[[nodiscard]] ClipScore scoreClip(
    const film::Truth& truth, const measure::Analysis& analysis, double frameMs);

/// Films, analyses and compares. Cost: some 5 ms a press, four times that with the panel.
[[nodiscard]] ClipScore runTrial(const Trial& trial, bool withPanel);

} // namespace twinlamp::accuracy

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/base/frame_range.h"
#include "core/base/measure_options.h"
#include "core/onset/edge_finder.h"
#include "core/panel/cell_traces.h"
#include "core/rig/camera_timing.h"

#include <optional>
#include <span>
#include <vector>

namespace twinlamp::measure {

/// What the scan of a clip gave. Spans must outlive the analysis.
struct AnalysisInput
{
    std::span<const float> reference; ///< shape N, light; NaN where a frame is missing
    std::span<const float> goggle; ///< shape N
    std::span<const float> referenceHigh; ///< shape N, share of clipped pixels
    std::span<const float> goggleHigh; ///< shape N
    std::span<const double> startMs; ///< shape N, real time
    std::optional<panel::CellTraces> goggleCells; ///< a grid over the goggle region
    std::optional<panel::CellTraces> referenceLines; ///< one column: lines of the reference region
    std::optional<panel::CellTraces> panel;
    /// The panel before the room's light was taken out of it: what is left of a flicker looks like
    /// motion, the whole of it is known to be common to all cells. Empty: as `panel`.
    std::optional<panel::CellTraces> panelAsRead;
    double frameIntervalMs = 0.0;
    int storedRows = 0;
    int rotationDeg = 0;
    RectPx referenceStored;
    RectPx goggleStored;
    std::vector<std::size_t> framesAfterGaps; ///< frames before which others were lost
};

/// On what the presses rest: a scan that left frames out decides by it whether they matter.
struct AnalysisGround
{
    onset::EdgeSearch reference;
    onset::EdgeSearch goggle;
    bool isPulsed = false; ///< a lamp or the panel
    double lampTailGain = 0.0; ///< see onset::LampResponse, the greater of both edge kinds
    std::vector<FrameRange> answerWindows; ///< frames that tell of each answer
    std::vector<bool> quiet; ///< frames at which nothing is under way on the panel
};

struct Analysis
{
    std::vector<Press> presses;
    std::optional<PanelTiming> panelTiming;
    std::vector<Sentence> notes;
    std::optional<double> exposureMs;
    ExposureSource exposureSource = ExposureSource::Unknown;
    std::optional<double> lineTimeUs; ///< that rows were corrected with
    LineTimeSource lineTimeSource = LineTimeSource::Unknown;
    AnalysisGround ground;
};

/// From traces to presses: edges, exposure, onsets, pairing, answers, panel, uncertainty. Knows
/// nothing of files. Cost: linear in the frames; a few hundred least-squares fits per press. Tests:
/// tests/core/measure/clip_analysis_test.cpp
[[nodiscard]] Analysis analyseClip(const AnalysisInput& input, const MeasureOptions& options);

} // namespace twinlamp::measure

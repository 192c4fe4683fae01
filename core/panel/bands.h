// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/panel/cell_traces.h"
#include "core/rig/camera_timing.h"

#include <vector>

namespace twinlamp::panel {

enum class Axis : std::uint8_t
{
    Rows, ///< bands lie above one another in the stored picture, or on a panel given by corners
    Columns ///< bands lie beside one another
};

/// One band of the panel, across its whole width or height: the mean of the cells that change.
struct Band
{
    double low = 0.0; ///< position of its two sides along the axis, 0 to 1, in the stored picture
    double high = 0.0;
    std::vector<float> light;
    rig::RegionTiming rows;
    /// From the exposure of its low side to that of its high side; 0 where bands lie beside one
    /// another in the stored picture.
    double alongMs = 0.0;
    /// Width of a box that spreads its light as much as the stored rows that a turned panel's band
    /// runs across. 0 for an upright panel: the rows of a column are left in the fit.
    double acrossMs = 0.0;
};

/// How long the sweep over a band seems to take: less what the camera's rows move along with it,
/// widened by those that lie across.
/// @param sweepMs    over the band
/// @param direction  of the sweep: +1 towards larger positions, -1 against, 0 not known
[[nodiscard]] double seenRampMs(const Band& band, double sweepMs, int direction);

/// Cells whose light changes with the presses, by their mean step between two sets of frames.
struct CellSteps
{
    std::vector<double> step; ///< per cell, mean absolute step
    std::vector<double> noise; ///< per cell, of one frame
    [[nodiscard]] std::vector<bool> changing() const;
};

/// Frames before and after one edge whose light is compared.
struct StepFrames
{
    std::size_t beforeFirst = 0;
    std::size_t beforeLast = 0; ///< not part
    std::size_t afterFirst = 0;
    std::size_t afterLast = 0; ///< not part
};

[[nodiscard]] CellSteps cellSteps(const CellTraces& cells, const std::vector<StepFrames>& presses);

/// Bands along an axis. Those without a changing cell are left out.
[[nodiscard]] std::vector<Band> makeBands(const CellTraces& cells, const std::vector<bool>& use,
    Axis axis, const rig::CameraTiming& camera);

} // namespace twinlamp::panel

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/region_scan.h"
#include "core/measure/stretch.h"

#include <span>
#include <vector>

namespace twinlamp::measure {

/// What removing the room's light needs to know of a clip.
struct RoomView
{
    std::span<const double> startMs; ///< shape N, real time
    RectPx picture; ///< the stored picture, over which RegionLight::roomCells is a grid
    int columns = 1;
    int rows = 1;
};

/// Stretches in which no lamp switches or settles: the same frames twice.
struct QuietStretches
{
    std::vector<Stretch> byReference; ///< lit where the reference lamp is
    std::vector<Stretch> byGoggle; ///< lit where the goggle shows the lamp so: it comes later
};

/// The part of the picture that shows the room's light alone: cells clear of all regions that do
/// not step when the lamps switch.
/// Tests: tests/core/measure/room_light_test.cpp
class LampFree
{
public:
    /// @param quiet  where neither lamp is about to switch or settle
    /// @pre all arguments outlive this
    LampFree(const RoomView& view, const RegionRequest& regions, RegionLight& light,
        const QuietStretches& quiet);

    /// Both halves of the part see the same light vary, by more than a trifle.
    /// @param thresholds  part of the usual ones that is enough
    [[nodiscard]] bool varies(double thresholds = 1.0) const;

    /// Mean light of the part, frame by frame.
    [[nodiscard]] std::vector<double> all() const { return meanOf(m_cells); }

    /// Mean light of the cells on these rows, minus its mean over time; from rows further off only
    /// where these rows have too few.
    [[nodiscard]] std::vector<double> onRows(int top, int bottom) const;

private:
    [[nodiscard]] std::size_t cellCount() const;
    [[nodiscard]] RectPx placeOf(std::size_t cell) const;
    [[nodiscard]] Column columnOf(std::size_t cell) const;
    [[nodiscard]] bool isClear(std::size_t cell, const RegionRequest& regions) const;
    [[nodiscard]] std::vector<double> meanOf(const std::vector<std::size_t>& cells) const;
    [[nodiscard]] std::vector<double> meanOf(
        const std::vector<std::size_t>& cells, const std::vector<double>& weights) const;

    const RoomView& m_view;
    RegionLight& m_light;
    const QuietStretches& m_quiet;
    std::vector<std::size_t> m_cells;
};

} // namespace twinlamp::measure

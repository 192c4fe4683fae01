// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/quad_px.h"
#include "core/base/units.h"
#include "core/footage/picture.h"
#include "core/trace/corner_grid.h"
#include "core/trace/shift_px.h"

#include <memory>
#include <optional>
#include <span>
#include <vector>

namespace twinlamp::trace {

/// What to read from every frame: mean light of a rectangle, or of each cell of a grid over it.
struct MeterRegion
{
    RectPx stored; ///< pixels of the stored picture, inside it
    int columns = 1;
    int rows = 1;
    /// 0: every pixel, in colour. Else luma alone on about this many pixels of each cell, spread
    /// over it: for cells whose timing is wanted, not their exact light.
    int samplesPerCell = 0;
    /// Corners of a panel in the stored picture, `stored` being the rectangle around them: the grid
    /// is even on the panel, row by row of its own picture. Luma alone: samplesPerCell is not 0.
    std::optional<QuadPx> corners {};
    bool operator==(const MeterRegion&) const = default;
};

/// The cell of a grid over a rectangle: whole pixels, as even as they go. Between corners: the
/// rectangle around the cell.
[[nodiscard]] RectPx cellOf(const MeterRegion& region, int column, int row);

/// Pixels at the ends of the code range in a region, as a share of its pixels.
struct ClipShare
{
    float low = 0.0F;
    float high = 0.0F;
};

/// Reads mean linear light of any number of regions in one pass over a decoded picture.
///
/// Code values become linear R, G, B by the picture's matrix, range and transfer, weighted to
/// luminance, then averaged. Where a 2x2 block of 4:2:0 is grey within 4 codes of 255 of chroma,
/// luma alone serves: since the luma weights are the luminance weights there, the error is of
/// second order, below 4e-4 of full scale. Immutable after construction; read() may run on many
/// threads at once. Source: design.md "Light"; ITU-R BT.709-6 item 1.2 (inverse). Tests:
/// tests/core/trace/light_meter_test.cpp
class LightMeter
{
public:
    /// Tables for one kind of picture. @pre each region lies inside the picture and has columns,
    /// rows >= 1
    LightMeter(const footage::PictureView& likeThis, std::vector<MeterRegion> regions);
    ~LightMeter();
    LightMeter(LightMeter&&) noexcept;
    LightMeter& operator=(LightMeter&&) noexcept;

    /// Values per frame: the cells of all regions, region by region, row by row.
    [[nodiscard]] std::size_t valueCount() const { return m_valueCount; }

    [[nodiscard]] std::size_t regionCount() const { return m_regions.size(); }

    /// @param light  receives valueCount() values. Unit: share of full scale (0 black, 1 reference
    /// white).
    /// @param clip   receives regionCount() shares; empty: not wanted.
    /// @return false when the picture is not of the kind given at construction.
    [[nodiscard]] bool read(const footage::PictureView& picture, std::span<float> light,
        std::span<ClipShare> clip) const;

    /// The same with all regions displaced by a fraction of a pixel or more. Pixels at a border
    /// count with the share that is covered, so that the light does not step where the shift
    /// crosses a whole pixel; every pixel is read, samplesPerCell only chooses luma alone. What has
    /// left the picture is left out; a cell with nothing in view is NaN. Between corners the sample
    /// points move along.
    [[nodiscard]] bool read(const footage::PictureView& picture, ShiftPx shift,
        std::span<float> light, std::span<ClipShare> clip) const;

private:
    struct Tables;
    template<typename Sample, typename ReadRegion>
    bool readAll(const footage::PictureView& picture, ShiftPx shift, std::span<float> light,
        std::span<ClipShare> clip, const ReadRegion& readRegion) const;

    std::vector<MeterRegion> m_regions;
    std::vector<CornerGrid> m_grids; ///< of regions with corners, in their order
    std::unique_ptr<const Tables> m_tables;
    std::size_t m_valueCount = 0;
};

} // namespace twinlamp::trace

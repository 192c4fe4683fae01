// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/quad_px.h"
#include "core/base/units.h"

#include <array>
#include <cstddef>
#include <cstdint>

namespace twinlamp::footage {

/// How the samples of a stream mean light: H.273 code points, as tagged. Untagged (2) stays 2 here;
/// core/trace decides what that means.
struct ColourDescription
{
    int matrix = 2;
    int transfer = 2;
    int primaries = 2;
    bool fullRange = false;
    bool operator==(const ColourDescription&) const = default;
};

enum class PlaneLayout : std::uint8_t
{
    Grey, ///< one plane
    Yuv, ///< Y', Cb, Cr planes; chroma subsampled by the shifts
    Gbr ///< G, B, R planes, full size
};

/// Samples of one plane. bitDepth 8: one byte a sample; 9 to 16: two bytes, native endian, value in
/// the low bits.
struct PlaneView
{
    const std::uint8_t* data = nullptr;
    std::ptrdiff_t strideBytes = 0;
    int widthPx = 0;
    int heightPx = 0;
};

/// A decoded picture as stored (before the rotation flag), not owned. Valid as long as its owner
/// keeps it.
struct PictureView
{
    PlaneLayout layout = PlaneLayout::Yuv;
    int bitDepth = 8;
    int chromaShiftX = 1; ///< 0 or 1: chroma width = ceil(width / 2^shift); Yuv only
    int chromaShiftY = 1;
    ColourDescription colour;
    std::array<PlaneView, 3> planes {};

    [[nodiscard]] int widthPx() const { return planes[0].widthPx; }

    [[nodiscard]] int heightPx() const { return planes[0].heightPx; }
};

/// The container's rotation flag, clockwise as a player turns the stored picture, and the stored
/// size.
struct Orientation
{
    int rotationDeg = 0; ///< 0, 90, 180 or 270
    int storedWidthPx = 0;
    int storedHeightPx = 0;
    bool operator==(const Orientation&) const = default;

    [[nodiscard]] int uprightWidthPx() const
    {
        return rotationDeg % 180 == 0 ? storedWidthPx : storedHeightPx;
    }

    [[nodiscard]] int uprightHeightPx() const
    {
        return rotationDeg % 180 == 0 ? storedHeightPx : storedWidthPx;
    }
};

/// The same rectangle in pixels of the stored picture, and back. The only place that turns
/// rectangles.
[[nodiscard]] RectPx toStored(RectPx upright, const Orientation& orientation);
/// A panel's corners keep their order: it is that of the panel's own picture.
[[nodiscard]] QuadPx toStored(const QuadPx& upright, const Orientation& orientation);
[[nodiscard]] RectPx toUpright(RectPx stored, const Orientation& orientation);

} // namespace twinlamp::footage

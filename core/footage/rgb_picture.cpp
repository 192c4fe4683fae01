// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/contracts.h"
#include "core/footage/frame_data.h"

#include <algorithm>
#include <cstring>
#include <spdlog/spdlog.h>

namespace twinlamp::footage {

namespace {

constexpr int bytesPerPixel = 4;

/// The decoder's picture cut to a rectangle, sample for sample. @pre the rectangle starts on a
/// chroma sample
struct Cut
{
    std::array<const std::uint8_t*, 4> data {};
    std::array<int, 4> stride {};
};

Cut cutOf(const PictureView& view, RectPx part)
{
    Cut cut;
    const int sampleBytes = view.bitDepth > 8 ? 2 : 1;
    for (std::size_t i = 0; i < view.planes.size(); ++i) {
        const PlaneView& plane = view.planes.at(i);
        if (plane.data == nullptr) {
            continue;
        }
        const int shiftX = i > 0 ? view.chromaShiftX : 0;
        const int shiftY = i > 0 ? view.chromaShiftY : 0;
        cut.data.at(i) = plane.data + (part.y >> shiftY) * plane.strideBytes
            + static_cast<std::ptrdiff_t>(part.x >> shiftX) * sampleBytes;
        cut.stride.at(i) = static_cast<int>(plane.strideBytes);
    }
    return cut;
}

/// Smallest rectangle around `part` that begins on a chroma sample.
RectPx onChroma(RectPx part, const PictureView& view)
{
    const int left = part.x >> view.chromaShiftX << view.chromaShiftX;
    const int top = part.y >> view.chromaShiftY << view.chromaShiftY;
    return {left, top, part.right() - left, part.bottom() - top};
}

const int* matrixOf(const PictureView& view)
{
    // Untagged is read as BT.709, as everywhere in this program.
    const int matrix
        = view.colour.matrix == AVCOL_SPC_UNSPECIFIED ? AVCOL_SPC_BT709 : view.colour.matrix;
    return sws_getCoefficients(matrix);
}

/// A converter for pictures of this kind; a thread keeps the last one that it made.
SwsContext* converterFor(AVPixelFormat format, RectPx part)
{
    thread_local ScalerHandle scaler;
    // With alpha, which is opaque where the source has none.
    scaler.reset(sws_getCachedContext(scaler.release(), part.width, part.height, format, part.width,
        part.height, AV_PIX_FMT_BGRA, SWS_BILINEAR, nullptr, nullptr, nullptr));
    return scaler.get();
}

/// Stored part as B, G, R, 0xFF; empty where libswscale cannot. Its fast way for 8-bit 4:2:0 is
/// off by a code or two: good for display, not for measuring.
std::vector<std::uint8_t> convertStored(
    const PictureView& view, AVPixelFormat format, RectPx part, std::vector<std::uint8_t> bgrx)
{
    SwsContext* scaler = converterFor(format, part);
    if (scaler == nullptr) {
        return {};
    }
    constexpr int one = 1 << 16; // libswscale's 16.16 for contrast and saturation
    sws_setColorspaceDetails(scaler, matrixOf(view), view.colour.fullRange ? 1 : 0,
        sws_getCoefficients(SWS_CS_DEFAULT), 1, 0, one, one);
    const int stride = part.width * bytesPerPixel;
    // libswscale writes whole vectors: it may touch a few bytes behind the last row.
    constexpr std::size_t slackBytes = 64;
    bgrx.resize(
        static_cast<std::size_t>(stride) * static_cast<std::size_t>(part.height) + slackBytes);
    const Cut cut = cutOf(view, part);
    const std::array<std::uint8_t*, 4> target {bgrx.data()};
    const std::array<int, 4> targetStride {stride};
    const int rows = sws_scale(scaler, cut.data.data(), cut.stride.data(), 0, part.height,
        target.data(), targetStride.data());
    return rows == part.height ? bgrx : std::vector<std::uint8_t> {};
}

/// Where upright pixels lie in a converted rectangle: (0, 0) at `first`, `right` and `down` pixels
/// further for each step.
struct Walk
{
    std::ptrdiff_t first = 0;
    std::ptrdiff_t right = 0;
    std::ptrdiff_t down = 0;
};

Walk walkOf(RectPx from, RectPx part, int rotationDeg)
{
    const std::ptrdiff_t row = from.width;
    const std::ptrdiff_t left = part.x - from.x;
    const std::ptrdiff_t top = part.y - from.y;
    const std::ptrdiff_t lastColumn = left + part.width - 1;
    const std::ptrdiff_t lastRow = top + part.height - 1;
    switch (rotationDeg) {
    case 90:
        return {lastRow * row + left, -row, 1};
    case 180:
        return {lastRow * row + lastColumn, -1, -row};
    case 270:
        return {top * row + lastColumn, row, -1};
    default:
        return {top * row + left, 1, row};
    }
}

/// Copies pixels that lie `step` apart.
void copyPixels(std::uint8_t* out, const std::uint8_t* in, int count, std::ptrdiff_t step)
{
    for (int i = 0; i < count; ++i) {
        std::memcpy(
            out + std::ptrdiff_t {i} * bytesPerPixel, in + i * step * bytesPerPixel, bytesPerPixel);
    }
}

/// Copies `part` out of a converted rectangle `from` (both stored pixels), turned upright.
RgbPicture turned(const std::vector<std::uint8_t>& bgrx, RectPx from, RectPx part, int rotationDeg)
{
    const bool sideways = rotationDeg % 180 != 0;
    RgbPicture picture {
        sideways ? part.height : part.width, sideways ? part.width : part.height, {}};
    picture.bgrx.resize(static_cast<std::size_t>(picture.widthPx)
        * static_cast<std::size_t>(picture.heightPx) * bytesPerPixel);
    const Walk walk = walkOf(from, part, rotationDeg);
    // Square tiles: a turned row reads one pixel of each stored row.
    constexpr int tile = 32;
    for (int tileY = 0; tileY < picture.heightPx; tileY += tile) {
        for (int tileX = 0; tileX < picture.widthPx; tileX += tile) {
            const int right = std::min(picture.widthPx, tileX + tile);
            for (int y = tileY; y < std::min(picture.heightPx, tileY + tile); ++y) {
                std::uint8_t* out = picture.bgrx.data()
                    + (static_cast<std::ptrdiff_t>(y) * picture.widthPx + tileX) * bytesPerPixel;
                const std::uint8_t* in = bgrx.data()
                    + (walk.first + tileX * walk.right + y * walk.down) * bytesPerPixel;
                copyPixels(out, in, right - tileX, walk.right);
            }
        }
    }
    return picture;
}

/// The same where nothing is to be turned or cut: the converted pixels themselves.
RgbPicture packed(std::vector<std::uint8_t>&& bgrx, RectPx stored)
{
    bgrx.resize(static_cast<std::size_t>(stored.areaPx()) * bytesPerPixel);
    return {stored.width, stored.height, std::move(bgrx)};
}

} // namespace

RgbPicture toRgb(const Frame& frame, const Orientation& orientation)
{
    return toRgb(
        frame, orientation, {0, 0, orientation.uprightWidthPx(), orientation.uprightHeightPx()});
}

RgbPicture toRgb(const Frame& frame, const Orientation& orientation, RectPx part,
    std::vector<std::uint8_t> memory)
{
    TL_EXPECTS(static_cast<bool>(frame));
    const PictureView view = frame.view();
    const RectPx whole {0, 0, orientation.uprightWidthPx(), orientation.uprightHeightPx()};
    const RectPx upright = intersection(part, whole);
    if (upright.isEmpty()) {
        return {};
    }
    const RectPx stored = toStored(upright, orientation);
    const RectPx converted = onChroma(stored, view);
    auto bgrx = convertStored(view, static_cast<AVPixelFormat>(frame.data().samples->format),
        converted, std::move(memory));
    if (bgrx.empty()) {
        spdlog::error("a frame of a supported format could not be converted for display");
        return {};
    }
    if (orientation.rotationDeg == 0 && converted == stored) {
        return packed(std::move(bgrx), stored);
    }
    return turned(bgrx, converted, stored, orientation.rotationDeg);
}

} // namespace twinlamp::footage

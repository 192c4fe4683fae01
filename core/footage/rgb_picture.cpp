// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/contracts.h"
#include "core/footage/frame_data.h"

#include <algorithm>
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

/// Stored part as B, G, R, filler; empty where libswscale cannot.
std::vector<std::uint8_t> convertStored(const PictureView& view, AVPixelFormat format, RectPx part)
{
    const ScalerHandle scaler(
        sws_getContext(part.width, part.height, format, part.width, part.height, AV_PIX_FMT_BGR0,
            SWS_BILINEAR | SWS_ACCURATE_RND | SWS_FULL_CHR_H_INT, nullptr, nullptr, nullptr));
    if (!scaler) {
        return {};
    }
    constexpr int one = 1 << 16; // libswscale's 16.16 for contrast and saturation
    sws_setColorspaceDetails(scaler.get(), matrixOf(view), view.colour.fullRange ? 1 : 0,
        sws_getCoefficients(SWS_CS_DEFAULT), 1, 0, one, one);
    const int stride = part.width * bytesPerPixel;
    // libswscale writes whole vectors: it may touch a few bytes behind the last row.
    constexpr std::size_t slackBytes = 64;
    std::vector<std::uint8_t> bgrx(
        static_cast<std::size_t>(stride) * static_cast<std::size_t>(part.height) + slackBytes);
    const Cut cut = cutOf(view, part);
    const std::array<std::uint8_t*, 4> target {bgrx.data()};
    const std::array<int, 4> targetStride {stride};
    const int rows = sws_scale(scaler.get(), cut.data.data(), cut.stride.data(), 0, part.height,
        target.data(), targetStride.data());
    return rows == part.height ? bgrx : std::vector<std::uint8_t> {};
}

/// Copies `part` out of a converted rectangle `from` (both stored pixels), turned upright.
RgbPicture turned(const std::vector<std::uint8_t>& bgrx, RectPx from, RectPx part, int rotationDeg)
{
    const bool sideways = rotationDeg % 180 != 0;
    RgbPicture picture {
        sideways ? part.height : part.width, sideways ? part.width : part.height, {}};
    picture.bgrx.resize(static_cast<std::size_t>(picture.widthPx)
        * static_cast<std::size_t>(picture.heightPx) * bytesPerPixel);
    auto out = picture.bgrx.begin();
    for (int y = 0; y < picture.heightPx; ++y) {
        for (int x = 0; x < picture.widthPx; ++x) {
            int column = x;
            int row = y;
            if (rotationDeg == 90) {
                column = y;
                row = part.height - 1 - x;
            } else if (rotationDeg == 180) {
                column = part.width - 1 - x;
                row = part.height - 1 - y;
            } else if (rotationDeg == 270) {
                column = part.width - 1 - y;
                row = x;
            }
            const std::ptrdiff_t pixel
                = static_cast<std::ptrdiff_t>(part.y - from.y + row) * from.width
                + (part.x - from.x + column);
            const auto in = bgrx.begin() + pixel * bytesPerPixel;
            out = std::copy(in, in + (bytesPerPixel - 1), out);
            *out++ = 0xFF;
        }
    }
    return picture;
}

} // namespace

RgbPicture toRgb(const Frame& frame, const Orientation& orientation)
{
    return toRgb(
        frame, orientation, {0, 0, orientation.uprightWidthPx(), orientation.uprightHeightPx()});
}

RgbPicture toRgb(const Frame& frame, const Orientation& orientation, RectPx part)
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
    const auto bgrx
        = convertStored(view, static_cast<AVPixelFormat>(frame.data().samples->format), converted);
    if (bgrx.empty()) {
        spdlog::error("a frame of a supported format could not be converted for display");
        return {};
    }
    return turned(bgrx, converted, stored, orientation.rotationDeg);
}

} // namespace twinlamp::footage

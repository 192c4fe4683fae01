// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/picture_access.h"

extern "C" {
#include <libavutil/pixdesc.h>
}

#include <algorithm>
#include <bit>
#include <optional>

namespace twinlamp::footage {

namespace {

constexpr int unspecified = 2; // H.273: what is not tagged

bool isRgb(const AVPixFmtDescriptor& format) { return (format.flags & AV_PIX_FMT_FLAG_RGB) != 0; }

/// Each component alone in its plane, samples in the low bits, in this machine's byte order.
bool hasViewOfItsOwn(const AVPixFmtDescriptor& format)
{
    constexpr auto strange = AV_PIX_FMT_FLAG_PAL | AV_PIX_FMT_FLAG_BITSTREAM
        | AV_PIX_FMT_FLAG_HWACCEL | AV_PIX_FMT_FLAG_FLOAT | AV_PIX_FMT_FLAG_BAYER;
    const int depth = format.comp[0].depth;
    const bool bigEndian = (format.flags & AV_PIX_FMT_FLAG_BE) != 0;
    const bool foreignOrder = depth > 8 && bigEndian != (std::endian::native == std::endian::big);
    if ((format.flags & strange) != 0 || foreignOrder || depth < 8 || depth > 16) {
        return false;
    }
    const int planes = format.nb_components < 3 ? 1 : 3;
    for (int i = 0; i < planes; ++i) {
        const AVComponentDescriptor& component = format.comp[i];
        const int planeOfRgb = (i + 2) % 3; // components R, G, B lie in planes G, B, R
        const bool ownPlane = component.plane == (isRgb(format) ? planeOfRgb : i);
        const bool packed = component.step != (depth > 8 ? 2 : 1);
        if (!ownPlane || packed || component.shift != 0 || component.depth != depth) {
            return false;
        }
    }
    return format.log2_chroma_w <= 1 && format.log2_chroma_h <= 1;
}

PlaneLayout layoutOf(const AVPixFmtDescriptor& format)
{
    if (format.nb_components < 3) {
        return PlaneLayout::Grey;
    }
    return isRgb(format) ? PlaneLayout::Gbr : PlaneLayout::Yuv;
}

ColourDescription colourOf(
    const AVFrame& frame, const AVPixFmtDescriptor& format, const ColourDescription& fallback)
{
    const auto known = [](int tagged, int otherwise) {
        return tagged != unspecified && tagged != AVCOL_TRC_RESERVED0 ? tagged : otherwise;
    };
    ColourDescription colour;
    // Matrix 0 is "R, G, B as they are"; the other two never use 0.
    colour.matrix = frame.colorspace != AVCOL_SPC_UNSPECIFIED ? static_cast<int>(frame.colorspace)
                                                              : fallback.matrix;
    colour.transfer = known(frame.color_trc, fallback.transfer);
    colour.primaries = known(frame.color_primaries, fallback.primaries);
    const bool jpegFormat = frame.format == AV_PIX_FMT_YUVJ420P
        || frame.format == AV_PIX_FMT_YUVJ422P || frame.format == AV_PIX_FMT_YUVJ444P
        || frame.format == AV_PIX_FMT_YUVJ440P || frame.format == AV_PIX_FMT_YUVJ411P;
    const bool untagged = frame.color_range == AVCOL_RANGE_UNSPECIFIED;
    colour.fullRange = frame.color_range == AVCOL_RANGE_JPEG || jpegFormat
        || (untagged && (isRgb(format) || fallback.fullRange));
    return colour;
}

/// The layout that keeps every sample of `format` as it is.
AVPixelFormat losslessTarget(const AVPixFmtDescriptor& format)
{
    const int depth = format.comp[0].depth;
    if (isRgb(format) || (format.flags & AV_PIX_FMT_FLAG_PAL) != 0) {
        return depth <= 8 ? AV_PIX_FMT_GBRP : AV_PIX_FMT_GBRP16;
    }
    if (format.nb_components < 3) {
        return depth <= 8 ? AV_PIX_FMT_GRAY8 : AV_PIX_FMT_GRAY16;
    }
    using Row = std::array<AVPixelFormat, 4>; // depth 8, 10, 12, 16
    static constexpr std::array<Row, 3> targets {
        Row {AV_PIX_FMT_YUV420P, AV_PIX_FMT_YUV420P10, AV_PIX_FMT_YUV420P12, AV_PIX_FMT_YUV420P16},
        Row {AV_PIX_FMT_YUV422P, AV_PIX_FMT_YUV422P10, AV_PIX_FMT_YUV422P12, AV_PIX_FMT_YUV422P16},
        Row {AV_PIX_FMT_YUV444P, AV_PIX_FMT_YUV444P10, AV_PIX_FMT_YUV444P12, AV_PIX_FMT_YUV444P16}};
    std::size_t row = 2;
    if (format.log2_chroma_w == 1) {
        row = format.log2_chroma_h == 1 ? 0 : 1;
    }
    std::size_t column = 3;
    if (depth <= 8) {
        column = 0;
    } else if (depth <= 10) {
        column = 1;
    } else if (depth <= 12) {
        column = 2;
    }
    return targets[row][column]; // NOLINT: both indexes come from the branches above
}

} // namespace

std::optional<PictureView> viewInPlace(const AVFrame& frame, const ColourDescription& fallback)
{
    const AVPixFmtDescriptor* format
        = av_pix_fmt_desc_get(static_cast<AVPixelFormat>(frame.format));
    if (format == nullptr || !hasViewOfItsOwn(*format)) {
        return std::nullopt;
    }
    PictureView view;
    view.layout = layoutOf(*format);
    view.bitDepth = format->comp[0].depth;
    view.colour = colourOf(frame, *format, fallback);
    const bool hasChroma = view.layout == PlaneLayout::Yuv;
    view.chromaShiftX = hasChroma ? format->log2_chroma_w : 0;
    view.chromaShiftY = hasChroma ? format->log2_chroma_h : 0;
    const std::size_t planes = view.layout == PlaneLayout::Grey ? 1 : 3;
    for (std::size_t i = 0; i < planes; ++i) {
        const int shiftX = i > 0 ? view.chromaShiftX : 0;
        const int shiftY = i > 0 ? view.chromaShiftY : 0;
        view.planes.at(i) = {frame.data[i], frame.linesize[i], -((-frame.width) >> shiftX),
            -((-frame.height) >> shiftY)};
    }
    return view;
}

std::optional<PictureView> PictureAccess::view(
    const AVFrame& frame, const ColourDescription& fallback)
{
    if (auto inPlace = viewInPlace(frame, fallback)) {
        m_converted.reset();
        return inPlace;
    }
    return convert(frame) ? viewInPlace(*m_converted, fallback) : std::nullopt;
}

bool PictureAccess::convert(const AVFrame& frame)
{
    const auto source = static_cast<AVPixelFormat>(frame.format);
    const AVPixFmtDescriptor* format = av_pix_fmt_desc_get(source);
    if (format == nullptr || sws_isSupportedInput(source) == 0) {
        return false;
    }
    const AVPixelFormat target = losslessTarget(*format);
    if (!m_scaler || m_sourceFormat != frame.format || m_widthPx != frame.width
        || m_heightPx != frame.height) {
        m_scaler.reset(sws_getContext(frame.width, frame.height, source, frame.width, frame.height,
            target, SWS_POINT | SWS_ACCURATE_RND, nullptr, nullptr, nullptr));
        m_sourceFormat = frame.format;
        m_widthPx = frame.width;
        m_heightPx = frame.height;
    }
    m_converted.reset(av_frame_alloc());
    if (!m_scaler || !m_converted) {
        return false;
    }
    const bool full = frame.color_range == AVCOL_RANGE_JPEG;
    const int* matrix = sws_getCoefficients(SWS_CS_DEFAULT);
    constexpr int one = 1 << 16; // libswscale's 16.16 for contrast and saturation
    sws_setColorspaceDetails(
        m_scaler.get(), matrix, full ? 1 : 0, matrix, full ? 1 : 0, 0, one, one);
    m_converted->format = target;
    m_converted->width = frame.width;
    m_converted->height = frame.height;
    if (av_frame_get_buffer(m_converted.get(), 0) < 0) {
        return false;
    }
    av_frame_copy_props(m_converted.get(), &frame);
    return sws_scale(m_scaler.get(), frame.data, frame.linesize, 0, frame.height, m_converted->data,
               m_converted->linesize)
        == frame.height;
}

} // namespace twinlamp::footage

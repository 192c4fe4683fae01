// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/av_compat.h"
#include "core/footage/clip_open.h"

extern "C" {
#include <libavutil/pixdesc.h>
}

#include <array>
#include <charconv>
#include <cmath>
#include <sys/stat.h>

namespace twinlamp::footage {

namespace {

std::optional<std::string> tag(const OpenClip& open, const char* key)
{
    for (const AVDictionary* tags : {open.stream->metadata, open.format->metadata}) {
        if (const AVDictionaryEntry* entry = av_dict_get(tags, key, nullptr, 0)) {
            return std::string(entry->value);
        }
    }
    return std::nullopt;
}

std::optional<double> parsePositive(const std::string& text)
{
    double value = 0.0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    const bool good = error == std::errc {} && std::isfinite(value) && value > 0.0;
    return good ? std::optional(value) : std::nullopt;
}

/// Phones store the rate as a 32-bit float, which libavformat prints with six decimals:
/// "239.759995" is the float nearest to 239.76. The shortest decimal of that float is what was
/// meant.
std::optional<FrameRate> captureRateOfTag(const std::string& text)
{
    constexpr double mostHz = 1e6; // what is beyond was not written by a camera
    const auto value = parsePositive(text);
    if (!value || *value < 1.0 || *value > mostHz) {
        return std::nullopt;
    }
    std::array<char, 64> shortest {};
    const auto [end, error] = std::to_chars(shortest.data(), shortest.data() + shortest.size(),
        static_cast<float>(*value), std::chars_format::fixed);
    if (error != std::errc {}) {
        return std::nullopt;
    }
    return parseFrameRate(std::string_view(shortest.data(), end));
}

/// Clockwise, a multiple of 90. libav's angle counts anticlockwise.
int rotationDeg(const OpenClip& open)
{
    double clockwise = 0.0;
    if (const std::int32_t* matrix = displayMatrix(*open.stream)) {
        clockwise = -av_display_rotation_get(matrix);
    } else if (const auto text = tag(open, "rotate")) {
        int degrees = 0;
        std::from_chars(text->data(), text->data() + text->size(), degrees);
        clockwise = degrees;
    }
    if (!std::isfinite(clockwise)) {
        return 0;
    }
    const int quarters = static_cast<int>(std::lround(clockwise / 90.0));
    return ((quarters % 4 + 4) % 4) * 90;
}

ColourDescription colourOf(const AVCodecParameters& parameters)
{
    const auto format = static_cast<AVPixelFormat>(parameters.format);
    const bool jpegFormat = format == AV_PIX_FMT_YUVJ420P || format == AV_PIX_FMT_YUVJ422P
        || format == AV_PIX_FMT_YUVJ444P || format == AV_PIX_FMT_YUVJ440P;
    return {parameters.color_space, parameters.color_trc, parameters.color_primaries,
        parameters.color_range == AVCOL_RANGE_JPEG || jpegFormat};
}

} // namespace

ClipInfo describe(const OpenClip& open, const std::filesystem::path& clip)
{
    const AVCodecParameters& parameters = *open.stream->codecpar;
    ClipInfo info;
    info.file = clip.string();
    info.container = open.format->iformat->name;
    info.codec = avcodec_get_name(parameters.codec_id);
    info.orientation = {rotationDeg(open), parameters.width, parameters.height};
    if (const AVPixFmtDescriptor* format
        = av_pix_fmt_desc_get(static_cast<AVPixelFormat>(parameters.format))) {
        info.bitDepth = format->comp[0].depth;
    }
    info.colour = colourOf(parameters);
    info.timeBaseNum = open.stream->time_base.num;
    info.timeBaseDen = open.stream->time_base.den;

    struct stat status
    {
    };

    if (::stat(clip.c_str(), &status) == 0) {
        constexpr std::int64_t nsPerSecond = 1'000'000'000;
        info.sizeBytes = status.st_size;
        info.modifiedNs = status.st_mtim.tv_sec * nsPerSecond + status.st_mtim.tv_nsec;
    }
    if (const auto text = tag(open, "com.android.capture.fps")) {
        info.taggedCaptureRate = captureRateOfTag(*text);
    }
    if (const auto text = tag(open, "com.apple.quicktime.camera.framereadouttimeinmicroseconds")) {
        info.taggedReadOutUs = parsePositive(*text);
    }
    return info;
}

} // namespace twinlamp::footage

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/codec_options.h"

#include <spdlog/fmt/fmt.h>

namespace twinlamp::film {

namespace {

using Options = std::vector<std::pair<std::string, std::string>>;

void addQuality(Options& options, const ClipFile& file)
{
    if (file.bitRateKbit == 0) {
        options.emplace_back("crf", fmt::format("{}", file.quality));
    }
}

CodecChoice h264(const ClipFile& file, bool deep)
{
    CodecChoice choice {
        "libx264", AV_CODEC_ID_H264, deep ? AV_PIX_FMT_YUV420P10 : AV_PIX_FMT_YUV420P, {}, false};
    choice.options = {{"preset", file.preset}, {"sc_threshold", "0"},
        {"x264-params", fmt::format("log=-1:open-gop={}", file.openGop ? 1 : 0)}};
    addQuality(choice.options, file);
    return choice;
}

/// The fast presets of libx265 look ahead five frames, and it wants more than there are B-frames.
std::string lookahead(const ClipFile& file)
{
    constexpr int leastOfAnyPreset = 5;
    return file.bFrames < leastOfAnyPreset ? std::string()
                                           : fmt::format(":rc-lookahead={}", file.bFrames + 2);
}

CodecChoice hevc(const ClipFile& file, bool deep)
{
    CodecChoice choice {
        "libx265", AV_CODEC_ID_HEVC, deep ? AV_PIX_FMT_YUV420P10 : AV_PIX_FMT_YUV420P, {}, false};
    // One thread throughout, so that the same scene gives the same bytes.
    choice.options = {{"preset", file.preset},
        {"x265-params",
            fmt::format("log-level=none:pools=none:frame-threads=1:scenecut=0:open-gop={}:"
                        "bframes={}:keyint={}:min-keyint={}",
                file.openGop ? 1 : 0, file.bFrames, file.gop, file.gop)
                + lookahead(file)}};
    addQuality(choice.options, file);
    return choice;
}

CodecChoice vp9(const ClipFile& file)
{
    CodecChoice choice {"libvpx-vp9", AV_CODEC_ID_VP9, AV_PIX_FMT_YUV420P, {}, false};
    choice.options = {{"deadline", "realtime"}, {"cpu-used", "8"}, {"row-mt", "0"},
        {"lag-in-frames", "0"}, {"auto-alt-ref", "0"}};
    addQuality(choice.options, file);
    return choice;
}

CodecChoice av1(const ClipFile& file)
{
    CodecChoice choice {"libaom-av1", AV_CODEC_ID_AV1, AV_PIX_FMT_YUV420P, {}, false};
    choice.options
        = {{"usage", "realtime"}, {"cpu-used", "8"}, {"row-mt", "0"}, {"lag-in-frames", "0"}};
    addQuality(choice.options, file);
    return choice;
}

} // namespace

CodecChoice codecChoice(const Scene& scene)
{
    const ClipFile& file = scene.file;
    const bool deep = scene.camera.bitDepth > 8;
    switch (file.codec) {
    case Codec::H264:
        return h264(file, deep);
    case Codec::Hevc:
        return hevc(file, deep);
    case Codec::Vp9:
        return vp9(file);
    case Codec::Av1:
        return av1(file);
    case Codec::Mjpeg:
        return {"mjpeg", AV_CODEC_ID_MJPEG, AV_PIX_FMT_YUVJ420P, {}, true};
    case Codec::Mpeg4:
        return {"mpeg4", AV_CODEC_ID_MPEG4, AV_PIX_FMT_YUV420P, {}, true};
    case Codec::Ffv1:
        break;
    }
    return {"ffv1", AV_CODEC_ID_FFV1, deep ? AV_PIX_FMT_YUV420P10 : AV_PIX_FMT_YUV420P, {}, false};
}

} // namespace twinlamp::film

#ifdef __SANITIZE_ADDRESS__
/// libx265 3.5 of Debian 12 never frees parts of its encoders; whoever films HEVC under the leak
/// sanitizer would be blamed for it. Here, so that every program that can film has it.
extern "C" const char* __lsan_default_suppressions(); // NOLINT(bugprone-reserved-identifier)

extern "C" const char* __lsan_default_suppressions() // NOLINT(bugprone-reserved-identifier)
{
    return "leak:libx265\n";
}
#endif

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/container.h"

#include "core/film/codec_options.h"

#include <array>
#include <spdlog/fmt/fmt.h>

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
}

namespace twinlamp::film {

namespace {

std::string endingOf(const std::filesystem::path& clip)
{
    std::string ending = clip.extension().string();
    return ending.empty() ? ending : ending.substr(1);
}

const char* muxerOfEnding(const std::string& ending)
{
    constexpr std::array<std::pair<const char*, const char*>, 6> muxers {{{"mp4", "mp4"},
        {"mov", "mov"}, {"mkv", "matroska"}, {"avi", "avi"}, {"webm", "webm"}, {"ts", "mpegts"}}};
    for (const auto& [known, muxer] : muxers) {
        if (ending == known) {
            return muxer;
        }
    }
    return nullptr;
}

bool holdsCodec(const std::string& ending, AVCodecID id)
{
    if (ending == "ts") {
        return id == AV_CODEC_ID_H264 || id == AV_CODEC_ID_HEVC || id == AV_CODEC_ID_MPEG4;
    }
    // The table of tags knows both for .mov; its header writer then refuses them.
    if (ending == "mov" && (id == AV_CODEC_ID_VP9 || id == AV_CODEC_ID_AV1)) {
        return false;
    }
    const AVOutputFormat* format = av_guess_format(muxerOfEnding(ending), nullptr, nullptr);
    return format != nullptr && avformat_query_codec(format, id, FF_COMPLIANCE_NORMAL) == 1;
}

} // namespace

const char* muxerFor(const std::filesystem::path& clip) { return muxerOfEnding(endingOf(clip)); }

std::string containerComplaint(const std::filesystem::path& clip, const Scene& scene)
{
    const std::string ending = endingOf(clip);
    if (muxerOfEnding(ending) == nullptr) {
        return fmt::format("{}: \"{}\" is no container that can be written. Use one of the endings "
                           ".mp4, .mov, .mkv, .avi, .webm, .ts.",
            clip.string(), ending);
    }
    const bool movie = ending == "mp4" || ending == "mov";
    const ClipFile& file = scene.file;
    if (!holdsCodec(ending, codecChoice(scene).id)) {
        return fmt::format("{}: the scene's file.codec does not fit into .{}. Use .mkv, which "
                           "holds every codec.",
            clip.string(), ending);
    }
    if (!movie && (file.rotationDeg != 0 || file.captureRateTag || file.hiddenFrames > 0)) {
        return fmt::format("{}: file.rotation_deg, file.capture_rate_tag and file.hidden_frames "
                           "need a clip that ends in .mp4 or .mov.",
            clip.string());
    }
    if (ending == "avi" && (file.bFrames > 0 || file.stampWobble > 0.0)) {
        return fmt::format("{}: .avi has no time stamps of its own: file.b_frames and "
                           "file.stamp_wobble need another container.",
            clip.string());
    }
    return {};
}

} // namespace twinlamp::film

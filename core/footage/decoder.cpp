// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/decoder.h"

#include <algorithm>
#include <spdlog/fmt/fmt.h>

namespace twinlamp::footage {

// H.264 and the MPEG-4 family mark damage. Told to fail on it, H.264 fails on harmless reference
// commands after each start at a keyframe of an open GOP, and MPEG-4 of libavcodec 59 aborts the
// program. The decoders named here patch damage up and mark nothing unless they are told to fail.
bool marksDamage(AVCodecID codec)
{
    return codec != AV_CODEC_ID_HEVC && codec != AV_CODEC_ID_MJPEG && codec != AV_CODEC_ID_FFV1
        && codec != AV_CODEC_ID_VP9 && codec != AV_CODEC_ID_AV1;
}

Result<CodecHandle> makeDecoder(
    const OpenClip& open, const std::filesystem::path& clip, const DecoderOptions& options)
{
    CodecHandle context(avcodec_alloc_context3(open.decoder));
    if (!context || avcodec_parameters_to_context(context.get(), open.stream->codecpar) < 0) {
        return footageError(Cause::Internal, clip, "could not be opened: out of memory.");
    }
    context->pkt_timebase = open.stream->time_base;
    context->thread_count = std::max(1, options.threads);
    context->thread_type = FF_THREAD_FRAME;
    context->has_b_frames = std::max(context->has_b_frames, options.reorderFrames);
    if (options.damage == DamagePolicy::Show) {
        context->flags |= AV_CODEC_FLAG_OUTPUT_CORRUPT;
    } else {
        context->err_recognition = AV_EF_CRCCHECK | AV_EF_BITSTREAM | AV_EF_BUFFER
            | (marksDamage(open.decoder->id) ? 0 : AV_EF_EXPLODE);
    }
    if (const int opened = avcodec_open2(context.get(), open.decoder, nullptr); opened < 0) {
        return footageError(Cause::UnsupportedCodec, clip,
            fmt::format("is coded as '{}' in a way that the installed decoder refuses ({}); "
                        "convert it, for example to H.264.",
                avcodec_get_name(open.stream->codecpar->codec_id), avErrorText(opened)));
    }
    return context;
}

bool isDamaged(const AVFrame& frame)
{
    return frame.decode_error_flags != 0 || (frame.flags & AV_FRAME_FLAG_CORRUPT) != 0;
}

} // namespace twinlamp::footage

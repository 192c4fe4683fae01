// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/decoder.h"

#include <algorithm>
#include <spdlog/fmt/fmt.h>

namespace twinlamp::footage {

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
    context->err_recognition
        = AV_EF_CRCCHECK | AV_EF_BITSTREAM | AV_EF_BUFFER | AV_EF_EXPLODE | AV_EF_CAREFUL;
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

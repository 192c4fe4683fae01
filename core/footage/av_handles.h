// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/dict.h>
#include <libavutil/error.h>
#include <libavutil/frame.h>
#include <libavutil/mem.h>
#include <libswscale/swscale.h>
}

#include <array>
#include <memory>
#include <string>

namespace twinlamp::footage {

/// Owners of libav* objects: each is freed by its own call, once.
struct AvDeleter
{
    void operator()(AVFormatContext* context) const { avformat_close_input(&context); }

    void operator()(AVCodecContext* context) const { avcodec_free_context(&context); }

    void operator()(AVCodecParserContext* parser) const { av_parser_close(parser); }

    void operator()(AVPacket* packet) const { av_packet_free(&packet); }

    void operator()(AVFrame* frame) const { av_frame_free(&frame); }

    void operator()(SwsContext* context) const { sws_freeContext(context); }

    void operator()(AVDictionary* dictionary) const { av_dict_free(&dictionary); }
};

using FormatHandle = std::unique_ptr<AVFormatContext, AvDeleter>;
using CodecHandle = std::unique_ptr<AVCodecContext, AvDeleter>;
using ParserHandle = std::unique_ptr<AVCodecParserContext, AvDeleter>;
using PacketHandle = std::unique_ptr<AVPacket, AvDeleter>;
using FrameHandle = std::unique_ptr<AVFrame, AvDeleter>;
using ScalerHandle = std::unique_ptr<SwsContext, AvDeleter>;

/// libav's own words for one of its error codes.
[[nodiscard]] inline std::string avErrorText(int code)
{
    std::array<char, AV_ERROR_MAX_STRING_SIZE> text {};
    av_strerror(code, text.data(), text.size());
    return text.data();
}

} // namespace twinlamp::footage

// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/bench/plain_access.h"

#include "core/footage/av_handles.h"

#include <stdexcept>

namespace twinlamp::bench {

struct PlainAccess::State
{
    footage::FormatHandle format;
    footage::CodecHandle decoder;
    footage::PacketHandle packet {av_packet_alloc()};
    footage::FrameHandle frame {av_frame_alloc()};
    int stream = 0;
};

PlainAccess::PlainAccess(const std::filesystem::path& clip)
    : m_state(std::make_unique<State>())
{
    AVFormatContext* format = nullptr;
    if (avformat_open_input(&format, clip.c_str(), nullptr, nullptr) < 0
        || avformat_find_stream_info(format, nullptr) < 0) {
        throw std::runtime_error("cannot open " + clip.string());
    }
    m_state->format.reset(format);
    const AVCodec* codec = nullptr;
    m_state->stream = av_find_best_stream(format, AVMEDIA_TYPE_VIDEO, -1, -1, &codec, 0);
    m_state->decoder.reset(avcodec_alloc_context3(codec));
    avcodec_parameters_to_context(
        m_state->decoder.get(), format->streams[m_state->stream]->codecpar);
    m_state->decoder->thread_count = 1;
    if (avcodec_open2(m_state->decoder.get(), codec, nullptr) < 0) {
        throw std::runtime_error("cannot decode " + clip.string());
    }
}

PlainAccess::~PlainAccess() = default;

bool PlainAccess::decode(std::int64_t keyframePts, std::int64_t pts)
{
    State& state = *m_state;
    avcodec_flush_buffers(state.decoder.get());
    if (av_seek_frame(state.format.get(), state.stream, keyframePts, AVSEEK_FLAG_BACKWARD) < 0) {
        return false;
    }
    while (true) {
        while (avcodec_receive_frame(state.decoder.get(), state.frame.get()) == 0) {
            if (state.frame->pts == pts) {
                return true;
            }
        }
        if (av_read_frame(state.format.get(), state.packet.get()) < 0) {
            // At the end of the clip the last pictures come out when nothing follows.
            if (avcodec_send_packet(state.decoder.get(), nullptr) < 0) {
                return false;
            }
            continue;
        }
        if (state.packet->stream_index == state.stream) {
            avcodec_send_packet(state.decoder.get(), state.packet.get());
        }
        av_packet_unref(state.packet.get());
    }
}

} // namespace twinlamp::bench

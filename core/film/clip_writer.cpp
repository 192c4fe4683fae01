// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/clip_writer.h"

#include "core/film/codec_options.h"
#include "core/film/container.h"
#include "core/film/random.h"
#include "core/footage/av_log.h"

#include <array>
#include <cmath>
#include <cstring>
#include <spdlog/fmt/fmt.h>

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/display.h>
#include <libavutil/opt.h>
}

namespace twinlamp::film {

namespace {

struct FreeFormat
{
    void operator()(AVFormatContext* context) const
    {
        if (context->pb != nullptr) {
            avio_closep(&context->pb);
        }
        avformat_free_context(context);
    }
};

struct FreeCodec
{
    void operator()(AVCodecContext* context) const { avcodec_free_context(&context); }
};

struct FreeFrame
{
    void operator()(AVFrame* frame) const { av_frame_free(&frame); }
};

struct FreePacket
{
    void operator()(AVPacket* packet) const { av_packet_free(&packet); }
};

struct FreeDictionary
{
    AVDictionary* entries = nullptr;
    FreeDictionary() = default;
    FreeDictionary(const FreeDictionary&) = delete;
    FreeDictionary& operator=(const FreeDictionary&) = delete;

    ~FreeDictionary() { av_dict_free(&entries); }
};

std::string avText(int code)
{
    std::array<char, AV_ERROR_MAX_STRING_SIZE> text {};
    av_strerror(code, text.data(), text.size());
    return text.data();
}

void copyPlane(const std::vector<std::uint8_t>& from, std::size_t rowBytes, int rows,
    std::uint8_t* to, int toStride)
{
    for (int y = 0; y < rows; ++y) {
        std::memcpy(to + std::ptrdiff_t {y} * toStride,
            from.data() + static_cast<std::size_t>(y) * rowBytes, rowBytes);
    }
}

/// The encoder's clock: a frame interval, or a small part of it where stamps wobble.
constexpr std::int64_t wobbleTicks = 1000;

} // namespace

struct ClipWriter::State
{
    std::string file; ///< written to, under a name of its own
    std::string clip; ///< named in messages
    ClipFile settings;
    std::uint64_t seed = 0;
    FrameRate playRate;
    std::unique_ptr<AVFormatContext, FreeFormat> format;
    std::unique_ptr<AVCodecContext, FreeCodec> codec;
    std::unique_ptr<AVFrame, FreeFrame> frame;
    std::unique_ptr<AVPacket, FreePacket> packet;
    AVStream* stream = nullptr;

    [[nodiscard]] tl::unexpected<Error> failed(std::string_view what, int code) const
    {
        return fail(Stage::Film, Cause::WriteFailed,
            fmt::format(
                "{}: {}: {}. Check the folder and its free space.", clip, what, avText(code)));
    }

    [[nodiscard]] std::int64_t ticksPerFrame() const
    {
        return settings.stampWobble > 0.0 ? wobbleTicks : 1;
    }

    /// Presentation stamp of a camera frame in encoder ticks.
    [[nodiscard]] std::int64_t stamp(std::int64_t number) const
    {
        const auto ticks = static_cast<double>(ticksPerFrame());
        const double wobble
            = settings.stampWobble * Random(seed, Stream::StampWobble, number).uniform(-1.0, 1.0);
        const double frames = number == 0 ? 0.0 : static_cast<double>(number) + wobble;
        const double offset = settings.startOffsetMs * 1e-3 * playRate.hz();
        return std::llround((frames + offset) * ticks);
    }

    void describeCodec(
        const Scene& scene, const footage::Orientation& orientation, const CodecChoice& choice);
    Result<void> openCodec(const Scene& scene, const footage::Orientation& orientation);
    Result<void> openFormat(const Scene& scene, const char* muxer);
    Result<void> drain();
};

void ClipWriter::State::describeCodec(
    const Scene& scene, const footage::Orientation& orientation, const CodecChoice& choice)
{
    AVCodecContext& context = *codec;
    context.width = orientation.storedWidthPx;
    context.height = orientation.storedHeightPx;
    context.pix_fmt = choice.pixels;
    context.time_base
        = {static_cast<int>(playRate.den), static_cast<int>(playRate.num * ticksPerFrame())};
    context.framerate = {static_cast<int>(playRate.num), static_cast<int>(playRate.den)};
    context.gop_size = settings.gop;
    context.keyint_min = settings.gop;
    context.max_b_frames = settings.bFrames;
    context.thread_count = 1;
    context.flags |= AV_CODEC_FLAG_BITEXACT;
    if ((format->oformat->flags & AVFMT_GLOBALHEADER) != 0) {
        context.flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
    }
    context.color_range = scene.camera.fullRange ? AVCOL_RANGE_JPEG : AVCOL_RANGE_MPEG;
    if (scene.camera.tagColour) {
        const ColourCodes codes = colourCodes(scene.camera.transfer, scene.camera.matrix);
        context.color_primaries = static_cast<AVColorPrimaries>(codes.primaries);
        context.color_trc = static_cast<AVColorTransferCharacteristic>(codes.transfer);
        context.colorspace = static_cast<AVColorSpace>(codes.matrix);
    }
    if (settings.bitRateKbit > 0) {
        context.bit_rate = std::int64_t {settings.bitRateKbit} * 1000;
    } else if (choice.constantQuantiser) {
        context.flags |= AV_CODEC_FLAG_QSCALE;
        context.global_quality = static_cast<int>(std::lround(settings.quality * FF_QP2LAMBDA));
    }
}

Result<void> ClipWriter::State::openCodec(
    const Scene& scene, const footage::Orientation& orientation)
{
    const CodecChoice choice = codecChoice(scene);
    const AVCodec* encoder = avcodec_find_encoder_by_name(choice.encoder);
    if (encoder == nullptr) {
        return fail(Stage::Film, Cause::UnsupportedCodec,
            fmt::format("{}: this system's libavcodec has no encoder {}. Choose another file.codec "
                        "in the scene.",
                clip, choice.encoder));
    }
    codec.reset(avcodec_alloc_context3(encoder));
    describeCodec(scene, orientation, choice);
    FreeDictionary options;
    for (const auto& [key, value] : choice.options) {
        av_dict_set(&options.entries, key.c_str(), value.c_str(), 0);
    }
    const int opened = avcodec_open2(codec.get(), encoder, &options.entries);
    if (opened < 0) {
        return fail(Stage::Film, Cause::InvalidValue,
            fmt::format("{}: the encoder {} refuses these settings: {}. Check file.preset, "
                        "file.quality and file.play_rate of the scene.",
                clip, choice.encoder, avText(opened)));
    }
    frame.reset(av_frame_alloc());
    packet.reset(av_packet_alloc());
    frame->format = codec->pix_fmt;
    frame->width = codec->width;
    frame->height = codec->height;
    frame->color_range = codec->color_range;
    frame->color_primaries = codec->color_primaries;
    frame->color_trc = codec->color_trc;
    frame->colorspace = codec->colorspace;
    const int allocated = av_frame_get_buffer(frame.get(), 0);
    return allocated < 0 ? Result<void>(failed("out of memory", allocated)) : Result<void> {};
}

Result<void> ClipWriter::State::openFormat(const Scene& scene, const char* muxer)
{
    stream = avformat_new_stream(format.get(), nullptr);
    avcodec_parameters_from_context(stream->codecpar, codec.get());
    stream->time_base = codec->time_base;
    stream->avg_frame_rate = codec->framerate;
    stream->r_frame_rate = codec->framerate;
    if (settings.rotationDeg != 0) {
        auto* matrix = reinterpret_cast<std::int32_t*>(
            av_stream_new_side_data(stream, AV_PKT_DATA_DISPLAYMATRIX, 9 * sizeof(std::int32_t)));
        av_display_rotation_set(matrix, settings.rotationDeg);
    }
    FreeDictionary options;
    if (settings.captureRateTag) {
        av_dict_set(&format->metadata, "com.android.capture.fps",
            fmt::format("{:.6f}", scene.camera.captureRate.hz()).c_str(), 0);
        av_dict_set(&options.entries, "movflags", "use_metadata_tags", 0);
    }
    const int opened = avio_open(&format->pb, file.c_str(), AVIO_FLAG_WRITE);
    if (opened < 0) {
        return failed("the clip cannot be written", opened);
    }
    const int header = avformat_write_header(format.get(), &options.entries);
    if (header < 0) {
        return failed(fmt::format("the {} header cannot be written", muxer), header);
    }
    return {};
}

Result<ClipWriter> ClipWriter::open(const std::filesystem::path& file,
    const std::filesystem::path& clip, const Scene& scene, const footage::Orientation& orientation)
{
    footage::redirectAvLog();
    const std::string complaint = containerComplaint(clip, scene);
    if (!complaint.empty()) {
        return fail(Stage::Film, Cause::InvalidValue, complaint);
    }
    auto state = std::make_unique<State>();
    state->file = file.string();
    state->clip = clip.string();
    state->settings = scene.file;
    state->seed = scene.seed;
    state->playRate = scene.file.playRate.value_or(scene.camera.captureRate);
    const char* muxer = muxerFor(clip);
    AVFormatContext* format = nullptr;
    const int allocated
        = avformat_alloc_output_context2(&format, nullptr, muxer, file.string().c_str());
    if (allocated < 0) {
        return state->failed("the container cannot be set up", allocated);
    }
    state->format.reset(format);
    format->flags |= AVFMT_FLAG_BITEXACT;
    if (auto opened = state->openCodec(scene, orientation); !opened) {
        return tl::unexpected(opened.error());
    }
    if (auto opened = state->openFormat(scene, muxer); !opened) {
        return tl::unexpected(opened.error());
    }
    return ClipWriter(std::move(state));
}

Result<void> ClipWriter::State::drain()
{
    for (;;) {
        const int received = avcodec_receive_packet(codec.get(), packet.get());
        if (received == AVERROR(EAGAIN) || received == AVERROR_EOF) {
            return {};
        }
        if (received < 0) {
            return failed("the encoder failed", received);
        }
        if (packet->duration == 0) {
            packet->duration = ticksPerFrame();
        }
        packet->stream_index = stream->index;
        av_packet_rescale_ts(packet.get(), codec->time_base, stream->time_base);
        const int written = av_interleaved_write_frame(format.get(), packet.get());
        if (written < 0) {
            return failed("the clip cannot be written", written);
        }
    }
}

Result<void> ClipWriter::write(std::int64_t number, const CodedPicture& picture)
{
    State& state = *m_state;
    AVFrame& frame = *state.frame;
    const int writable = av_frame_make_writable(&frame);
    if (writable < 0) {
        return state.failed("out of memory", writable);
    }
    const std::size_t bytes = picture.bitDepth > 8 ? 2 : 1;
    for (std::size_t p = 0; p < 3; ++p) {
        const int divisor = p == 0 ? 1 : 2;
        copyPlane(picture.planes[p], static_cast<std::size_t>(picture.widthPx / divisor) * bytes,
            picture.heightPx / divisor, frame.data[p], frame.linesize[p]);
    }
    frame.pts = state.stamp(number);
    if ((state.codec->flags & AV_CODEC_FLAG_QSCALE) != 0) {
        frame.quality = state.codec->global_quality;
    }
    const int sent = avcodec_send_frame(state.codec.get(), &frame);
    return sent < 0 ? Result<void>(state.failed("the encoder failed", sent)) : state.drain();
}

Result<void> ClipWriter::finish()
{
    State& state = *m_state;
    avcodec_send_frame(state.codec.get(), nullptr);
    if (auto drained = state.drain(); !drained) {
        return drained;
    }
    const int trailer = av_write_trailer(state.format.get());
    if (trailer < 0) {
        return state.failed("the clip's end cannot be written", trailer);
    }
    const int closed = avio_closep(&state.format->pb);
    return closed < 0 ? Result<void>(state.failed("the clip cannot be written", closed))
                      : Result<void> {};
}

ClipWriter::ClipWriter(std::unique_ptr<State> state)
    : m_state(std::move(state))
{
}

ClipWriter::ClipWriter(ClipWriter&&) noexcept = default;
ClipWriter& ClipWriter::operator=(ClipWriter&&) noexcept = default;
ClipWriter::~ClipWriter() = default;

} // namespace twinlamp::film

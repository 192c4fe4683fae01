// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/frame_source.h"

#include "core/base/contracts.h"
#include "core/footage/clip_reader.h"
#include "core/footage/frame_cache.h"
#include "core/footage/frame_data.h"
#include "core/footage/picture_access.h"

#include <algorithm>
#include <cstdlib>
#include <optional>
#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>
#include <unordered_set>

namespace twinlamp::footage {

namespace {

std::size_t bytesOf(const AVFrame& frame)
{
    std::size_t bytes = 0;
    for (const AVBufferRef* buffer : frame.buf) {
        bytes += buffer != nullptr ? buffer->size : 0;
    }
    return bytes;
}

} // namespace

Frame::Frame(std::shared_ptr<const Data> data)
    : m_data(std::move(data))
{
}

FrameIndex Frame::number() const
{
    TL_EXPECTS(m_data != nullptr);
    return m_data->number;
}

PictureView Frame::view() const
{
    TL_EXPECTS(m_data != nullptr);
    return m_data->view;
}

std::size_t Frame::bytes() const { return m_data ? m_data->bytes : 0; }

struct FrameSource::State
{
    State(std::shared_ptr<const ClipIndex> clipIndex, ClipReader clipReader, std::size_t cacheBytes)
        : index(std::move(clipIndex))
        , reader(std::move(clipReader))
        , cache(cacheBytes)
    {
    }

    /// Decodes on to frame k. Empty where the decoder passed it by without giving it.
    Result<Frame> decodeTo(FrameIndex k);
    /// Frame k from the decoder, by the shortest way that works. Empty where none does.
    Result<Frame> fetch(FrameIndex k);
    /// Starts so many keyframes before frame k and decodes on to it, no further than `lastPacket`.
    Result<Frame> decodeFrom(
        FrameIndex k, std::int64_t further, std::optional<std::int32_t> lastPacket = std::nullopt);
    Result<Frame> keep(const AVFrame& picture, FrameIndex number);
    /// The next picture from the decoder. Empty at the end.
    Result<Frame> decodeNext();
    /// Frame k from the cache or the decoder.
    Result<Frame> get(FrameIndex k);
    void moveHand(FrameIndex k);
    /// The nearest frame ahead of the hand that is wanted and not here.
    [[nodiscard]] std::optional<FrameIndex> wantedAhead() const;
    [[nodiscard]] bool canGoOnTo(FrameIndex k) const;

    std::shared_ptr<const ClipIndex> index;
    ClipReader reader;
    FrameCache cache;
    PictureAccess access;
    FrameIndex last {-1}; ///< the newest picture that came out since the last start
    FrameIndex start {0}; ///< first frame that comes out right since the last start
    bool warm = false;
    std::unordered_set<std::int64_t> undecodable;
    std::optional<FrameIndex> hand;
    Travel travel = Travel::Still;
    std::unordered_set<std::int64_t> notAhead; ///< did not come out while reading ahead
};

bool FrameSource::State::canGoOnTo(FrameIndex k) const
{
    if (!warm || k <= last || k < start) {
        return false;
    }
    // A keyframe on the way is a shorter way.
    const auto next = std::ranges::upper_bound(index->keyframes, last);
    return next == index->keyframes.end() || *next > k || next->value <= last.value + 1;
}

Result<Frame> FrameSource::State::keep(const AVFrame& picture, FrameIndex number)
{
    const std::filesystem::path clip = index->info.file;
    const auto view = access.view(picture, index->info.colour);
    if (!view) {
        return footageError(Cause::UnsupportedCodec, clip,
            "has a pixel format that cannot be read here; convert it, for example to H.264.");
    }
    auto data = std::make_shared<Frame::Data>();
    data->number = number;
    data->samples = access.takeConverted();
    if (!data->samples) {
        data->samples.reset(av_frame_clone(&picture));
    }
    const auto owned = data->samples ? viewInPlace(*data->samples, index->info.colour) : view;
    if (!data->samples || !owned) {
        return footageError(Cause::Internal, clip, "could not be read: out of memory.");
    }
    data->view = *owned;
    data->bytes = bytesOf(*data->samples);
    Frame frame(std::move(data));
    cache.put(frame);
    return frame;
}

Result<Frame> FrameSource::State::decodeNext()
{
    const ClipReader::Step step = reader.next();
    if (step == ClipReader::Step::SizeChanged) {
        warm = false;
        return footageError(Cause::SizeChanges, index->info.file,
            fmt::format("changes its picture size at frame {}; cut it there and measure the parts.",
                reader.number().value));
    }
    if (step == ClipReader::Step::End) {
        warm = false;
        return Frame {};
    }
    for (FrameIndex j {last.value + 1}; j < reader.number(); ++j.value) {
        if (reader.isSpoiled(j)) {
            undecodable.insert(j.value);
        }
    }
    last = reader.number();
    return keep(reader.picture(), last);
}

Result<Frame> FrameSource::State::decodeTo(FrameIndex k)
{
    while (true) {
        auto frame = decodeNext();
        if (!frame || !*frame || last == k) {
            return frame;
        }
        if (last > k) {
            return Frame {};
        }
    }
}

Result<Frame> FrameSource::State::fetch(FrameIndex k)
{
    if (canGoOnTo(k)) {
        auto frame = decodeTo(k);
        if (!frame || *frame) {
            return frame;
        }
    }
    // The nearest keyframe, then further back, then straight through from the start; but damage
    // stays damage from wherever it is approached.
    const auto all = static_cast<std::int64_t>(index->keyframes.size());
    for (const std::int64_t further : {std::int64_t {0}, std::int64_t {1}, std::int64_t {3}, all}) {
        auto frame = decodeFrom(k, further);
        if (!frame || *frame) {
            return frame;
        }
        spdlog::debug("{}: frame {} did not come out from frame {} on", nameOf(index->info.file),
            k.value, start.value);
        if (start.value == 0 || reader.metDamage()) {
            break;
        }
    }
    if (reader.metDamage() && !reader.isSpoiled(k)) {
        // A decoder that fails on a packet may keep back the good picture that was due.
        auto frame
            = decodeFrom(k, 0, index->entries[static_cast<std::size_t>(k.value)].decodeOrder);
        if (!frame || *frame) {
            return frame;
        }
    }
    undecodable.insert(k.value);
    return Frame {};
}

Result<Frame> FrameSource::State::decodeFrom(
    FrameIndex k, std::int64_t further, std::optional<std::int32_t> lastPacket)
{
    auto started = reader.startBefore(k, further);
    if (!started) {
        return tl::unexpected(std::move(started.error()));
    }
    start = *started;
    last = {start.value - 1};
    warm = !lastPacket;
    if (lastPacket) {
        reader.endAfterPacket(*lastPacket);
    }
    return decodeTo(k);
}

Result<FrameSource> FrameSource::open(std::shared_ptr<const ClipIndex> index, Options options)
{
    TL_EXPECTS(index != nullptr);
    auto reader = ClipReader::open(index, {options.decoderThreads}, {});
    if (!reader) {
        return tl::unexpected(std::move(reader.error()));
    }
    return FrameSource(
        std::make_unique<State>(std::move(index), std::move(*reader), options.cacheBytes));
}

FrameSource::FrameSource(std::unique_ptr<State> state)
    : m_state(std::move(state))
{
}

FrameSource::FrameSource(FrameSource&&) noexcept = default;
FrameSource& FrameSource::operator=(FrameSource&&) noexcept = default;
FrameSource::~FrameSource() = default;

Result<Frame> FrameSource::State::get(FrameIndex k)
{
    const std::filesystem::path clip = index->info.file;
    if (!index->all().contains(k)) {
        return footageError(Cause::InvalidValue, clip,
            fmt::format(
                "has no frame {}; its frames are 0 to {}.", k.value, index->frameCount() - 1));
    }
    if (Frame hit = cache.peek(k)) {
        return hit;
    }
    if (!undecodable.contains(k.value)) {
        auto frame = fetch(k);
        if (!frame || *frame) {
            return frame;
        }
    }
    return footageError(Cause::Damaged, clip,
        fmt::format(
            "is damaged at frame {}, which cannot be decoded; the other frames can be used.",
            k.value));
}

void FrameSource::State::moveHand(FrameIndex k)
{
    constexpr std::int64_t longestStep = 30; // further is a jump, and says nothing of the way
    const std::int64_t step = hand ? k.value - hand->value : 0;
    if (step != 0) {
        travel = std::abs(step) > longestStep ? Travel::Still
            : step > 0                        ? Travel::On
                                              : Travel::Back;
        notAhead.clear();
    }
    hand = k;
    cache.setHand(k, travel);
}

std::optional<FrameIndex> FrameSource::State::wantedAhead() const
{
    // At rest the next few frames: what comes first when a hand begins to step, either way, for the
    // frames before are here since this one was decoded.
    // Enough to bridge a keyframe, which takes as long as six others.
    constexpr std::int64_t aFew = 24;
    if (!hand) {
        return std::nullopt;
    }
    const std::int64_t reach
        = travel == Travel::Still ? std::min(aFew, cache.roomAhead()) : cache.roomAhead();
    const int way = travel == Travel::Back ? -1 : 1;
    for (std::int64_t away = 1; away <= reach; ++away) {
        const FrameIndex k {hand->value + way * away};
        if (!index->all().contains(k)) {
            return std::nullopt;
        }
        if (!cache.has(k) && !undecodable.contains(k.value) && !notAhead.contains(k.value)) {
            return k;
        }
    }
    return std::nullopt;
}

Result<Frame> FrameSource::frame(FrameIndex k)
{
    m_state->moveHand(k);
    return m_state->get(k);
}

Result<Frame> FrameSource::frameAside(FrameIndex k) { return m_state->get(k); }

bool FrameSource::readAhead()
{
    State& state = *m_state;
    const auto wanted = state.wantedAhead();
    if (!wanted) {
        return false;
    }
    if (!state.canGoOnTo(*wanted)) {
        const auto started = state.reader.startBefore(*wanted);
        if (!started) {
            return false;
        }
        state.start = *started;
        state.last = {started->value - 1};
        state.warm = true;
    }
    const auto frame = state.decodeNext();
    const bool passed = !frame || !*frame || state.last >= *wanted;
    if (passed && !state.cache.has(*wanted)) {
        state.notAhead.insert(wanted->value); // damaged, or kept back: asked for, it is told
    }
    return true;
}

Frame FrameSource::cached(FrameIndex k) const { return m_state->cache.peek(k); }

std::size_t FrameSource::cachedBytes() const { return m_state->cache.bytes(); }

const ClipIndex& FrameSource::index() const { return *m_state->index; }

} // namespace twinlamp::footage

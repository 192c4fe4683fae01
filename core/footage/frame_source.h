// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/job_control.h"
#include "core/base/result.h"
#include "core/footage/frame_index.h"
#include "core/footage/picture.h"

#include <cstddef>
#include <memory>
#include <vector>

namespace twinlamp::footage {

/// A decoded frame that keeps its samples alive; cheap to copy, never changed, safe on any thread.
class Frame
{
public:
    struct Data;
    Frame() = default;
    explicit Frame(std::shared_ptr<const Data> data);

    [[nodiscard]] explicit operator bool() const { return m_data != nullptr; }

    [[nodiscard]] FrameIndex number() const;
    [[nodiscard]] PictureView view() const;
    [[nodiscard]] std::size_t bytes() const;

    /// What only this library can read. @pre not empty
    [[nodiscard]] const Data& data() const { return *m_data; }

private:
    std::shared_ptr<const Data> m_data;
};

/// Upright picture, 8-bit B, G, R, filler (0xFF) per pixel, rows packed (stride = 4 * width).
struct RgbPicture
{
    int widthPx = 0;
    int heightPx = 0;
    std::vector<std::uint8_t> bgrx;
};

/// Display conversion of a frame or of a part of it (upright pixels, clamped to the picture), with
/// the stream's own matrix and range; the rotation flag is applied.
/// @param memory  what an earlier picture was kept in, to be used again: new memory for 8 MB costs
/// more than filling it
[[nodiscard]] RgbPicture toRgb(const Frame& frame, const Orientation& orientation, RectPx part,
    std::vector<std::uint8_t> memory = {});
/// All of it.
[[nodiscard]] RgbPicture toRgb(const Frame& frame, const Orientation& orientation);

/// Exact access to frame k, in any order. One thread at a time owns a source.
///
/// The picture returned is confirmed against the index by its time stamp; where a seek lands wrong,
/// the source goes further back, then decodes straight through. Keeps decoded frames around the
/// one in hand in a cache bounded in bytes, one decoder warm.
class FrameSource
{
public:
    struct Options
    {
        std::size_t cacheBytes = std::size_t {256} << 20U;
        int decoderThreads = 1;
    };

    /// @error as indexClip
    [[nodiscard]] static Result<FrameSource> open(
        std::shared_ptr<const ClipIndex> index, Options options);
    FrameSource(FrameSource&&) noexcept;
    FrameSource& operator=(FrameSource&&) noexcept;
    ~FrameSource();

    /// Frame k, which is in hand from now on: a step of a few frames tells which way the hand goes.
    /// @error Footage/InvalidValue outside the clip; Footage/Damaged when it cannot be decoded.
    [[nodiscard]] Result<Frame> frame(FrameIndex k);
    /// The same for a look aside: the hand stays where it is. @error as `frame`
    [[nodiscard]] Result<Frame> frameAside(FrameIndex k);

    /// Decodes one more frame towards those that the hand will ask for next, and returns whether
    /// there may be more to do: to be called again and again while nothing else is wanted. Going
    /// back, that is the GOP before, or where GOPs are longer than half of the cache, a window of
    /// it.
    [[nodiscard]] bool readAhead();
    /// Frame k only if it is decoded already.
    [[nodiscard]] Frame cached(FrameIndex k) const;
    [[nodiscard]] std::size_t cachedBytes() const;
    [[nodiscard]] const ClipIndex& index() const;

private:
    struct State;
    explicit FrameSource(std::unique_ptr<State> state);
    std::unique_ptr<State> m_state;
};

} // namespace twinlamp::footage

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"
#include "core/footage/picture.h"

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace twinlamp::trace {

/// Mean linear light of square blocks of the stored picture, frame by frame: what a clip was like,
/// coarsely, without decoding it again.
///
/// Luma alone, of a thinned grid of samples (about 64 a block): exact to noise where a block is
/// grey. Memory: 2 bytes a block and frame, and a byte a frame; 4081 bytes a frame at 1080p, 58.8
/// MB for a minute at 240 frames/s.
struct LightMap
{
    enum Mark : std::uint8_t
    {
        Coloured = 1, ///< luma alone does not tell its light
        Clipped = 2 ///< a sample was at the end of the code range
    };

    int widthPx = 0; ///< of the stored picture
    int heightPx = 0;
    int blockPx = 0; ///< side; blocks at the right and lower border may be cut
    std::int64_t frames = 0;
    float scale = 1.0F; ///< light is (level / 65535 * scale)^2: fine where noise is small
    std::vector<std::uint16_t> levels; ///< frame after frame, row by row
    std::vector<std::uint8_t> marks; ///< of each block, over the frames that were looked at
    std::vector<std::uint8_t> isRead; ///< of each frame

    [[nodiscard]] int columns() const { return (widthPx + blockPx - 1) / blockPx; }

    [[nodiscard]] int rows() const { return (heightPx + blockPx - 1) / blockPx; }

    [[nodiscard]] std::size_t blockCount() const
    {
        return static_cast<std::size_t>(columns()) * static_cast<std::size_t>(rows());
    }

    [[nodiscard]] RectPx block(int column, int row) const;

    /// Light of a block. Unit: share of full scale, as LightMeter.
    [[nodiscard]] float at(std::int64_t frame, std::size_t block) const
    {
        const float root = scale / 65535.0F
            * static_cast<float>(levels[static_cast<std::size_t>(frame) * blockCount() + block]);
        return root * root;
    }

    [[nodiscard]] bool isComplete() const;
    bool operator==(const LightMap&) const = default;
};

/// Side of a block, an even number: 32 at 1080p, so that there are about 2000 blocks, but not
/// below 8. Unit: px.
[[nodiscard]] int mapBlockPx(int widthPx, int heightPx);

/// Bytes of a map of so many frames, its small parts left out.
[[nodiscard]] std::int64_t mapBytes(int widthPx, int heightPx, std::int64_t frames);

/// Fills a map while a clip is scanned, many threads at once, each frame on one of them.
/// Tests: tests/core/trace/light_map_test.cpp
class LightMapper
{
public:
    /// Tables for one kind of picture. @pre canMap(likeThis)
    LightMapper(const footage::PictureView& likeThis, std::int64_t frames);

    /// Pictures without a luma plane (RGB) have no map.
    [[nodiscard]] static bool canMap(const footage::PictureView& picture);

    /// A picture of another kind than the first one is left out.
    void add(FrameIndex frame, const footage::PictureView& picture);

    /// @pre no thread is in add()
    [[nodiscard]] const LightMap& map() const { return m_map; }

private:
    template<typename Sample> void read(std::size_t frame, const footage::PictureView& picture);
    template<typename Sample> void mark(const footage::PictureView& picture);
    template<typename Sample>
    [[nodiscard]] bool isColoured(const footage::PictureView& picture, RectPx block) const;
    template<typename Sample>
    [[nodiscard]] bool isClipped(const footage::PictureView& picture, RectPx block) const;
    void setMark(std::size_t block, std::uint8_t mark);

    LightMap m_map;
    footage::PictureView m_likeThis;
    std::vector<float> m_lumaLight; ///< of a grey pixel, by code
    std::vector<std::uint8_t> m_clipsAt; ///< by code
    int m_step = 1; ///< from sample to sample, both ways. Unit: px
};

} // namespace twinlamp::trace

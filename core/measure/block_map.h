// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/frame_range.h"
#include "core/base/job_control.h"
#include "core/base/result.h"
#include "core/footage/frame_index.h"

#include <span>
#include <vector>

namespace twinlamp::measure {

/// Light of the whole picture in blocks, over a stretch of frames: where the lamps are looked for.
struct BlockMap
{
    int columns = 0;
    int rows = 0;
    int pictureWidthPx = 0; ///< stored
    int pictureHeightPx = 0; ///< stored
    std::size_t frames = 0;
    std::vector<float> light; ///< block by block: shape (rows * columns) x frames; a lost frame
                              ///< repeats the one before

    [[nodiscard]] std::size_t blockCount() const
    {
        return static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows);
    }

    [[nodiscard]] std::span<const float> block(std::size_t b) const
    {
        return std::span(light).subspan(b * frames, frames);
    }

    /// Pixels of a block in the stored picture.
    [[nodiscard]] RectPx rect(std::size_t b) const;
};

/// Reads blocks of about a hundredth of the picture's width, at least 4 pixels.
/// Memory: 4 bytes per block and frame, about 35 kB a frame.
[[nodiscard]] JobResult<BlockMap> readBlocks(
    const footage::ClipIndex& index, FrameRange range, const JobControl& control);

} // namespace twinlamp::measure

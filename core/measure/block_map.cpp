// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/block_map.h"

#include "core/footage/frame_scan.h"
#include "core/trace/light_meter.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>
#include <mutex>

namespace twinlamp::measure {

namespace {

constexpr int blocksAcross = 120;
constexpr int smallestBlockPx = 4;
constexpr int samplesPerBlock = 16;

int edgeOf(int size, int parts, int index)
{
    return static_cast<int>(std::int64_t {size} * index / parts);
}

void fillLostFrames(BlockMap& map, const std::vector<bool>& isRead)
{
    for (std::size_t b = 0; b < map.blockCount(); ++b) {
        float* light = map.light.data() + b * map.frames;
        for (std::size_t k = 1; k < map.frames; ++k) {
            if (!isRead[k]) {
                light[k] = light[k - 1];
            }
        }
    }
}

} // namespace

RectPx BlockMap::rect(std::size_t b) const
{
    const int column = static_cast<int>(b) % columns;
    const int row = static_cast<int>(b) / columns;
    const int left = edgeOf(pictureWidthPx, columns, column);
    const int top = edgeOf(pictureHeightPx, rows, row);
    return {left, top, edgeOf(pictureWidthPx, columns, column + 1) - left,
        edgeOf(pictureHeightPx, rows, row + 1) - top};
}

JobResult<BlockMap> readBlocks(
    const footage::ClipIndex& index, FrameRange range, const JobControl& control)
{
    const auto& orientation = index.info.orientation;
    BlockMap map;
    map.pictureWidthPx = orientation.storedWidthPx;
    map.pictureHeightPx = orientation.storedHeightPx;
    const int side = std::max(
        smallestBlockPx, std::max(map.pictureWidthPx, map.pictureHeightPx) / blocksAcross);
    map.columns = std::max(1, map.pictureWidthPx / side);
    map.rows = std::max(1, map.pictureHeightPx / side);
    map.frames = static_cast<std::size_t>(range.frameCount());
    map.light.assign(map.blockCount() * map.frames, 0.0F);
    std::vector<std::uint8_t> isRead(map.frames, 0);

    const footage::ScanOptions options;
    std::vector<std::vector<float>> scratch(
        static_cast<std::size_t>(footage::scanThreads(options)));
    std::once_flag made;
    std::unique_ptr<trace::LightMeter> meter;
    const auto visit = [&](FrameIndex frame, const footage::PictureView& picture, int worker) {
        std::call_once(made, [&] {
            meter = std::make_unique<trace::LightMeter>(picture,
                std::vector<trace::MeterRegion> {{{0, 0, picture.widthPx(), picture.heightPx()},
                    map.columns, map.rows, samplesPerBlock}});
        });
        auto& light = scratch[static_cast<std::size_t>(worker)];
        light.resize(meter->valueCount());
        const auto k = static_cast<std::size_t>(frame.value - range.first.value);
        if (meter->read(picture, light, {})) {
            for (std::size_t b = 0; b < light.size(); ++b) {
                map.light[b * map.frames + k] = light[b];
            }
            isRead[k] = 1;
        }
    };
    auto scanned = footage::scanFrames(index, range, visit, options, control);
    if (!scanned.hasValue()) {
        return scanned.isCancelled() ? JobResult<BlockMap>(Cancelled {})
                                     : JobResult<BlockMap>(scanned.error());
    }
    fillLostFrames(map, std::vector<bool>(isRead.begin(), isRead.end()));
    return map;
}

} // namespace twinlamp::measure

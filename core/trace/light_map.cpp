// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/light_map.h"

#include "core/base/contracts.h"
#include "core/trace/luma_table.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdlib>
#include <iterator>

namespace twinlamp::trace {

using footage::PictureView;
using footage::PlaneLayout;
using footage::PlaneView;

namespace {

constexpr double wantedBlocks = 2000.0;
constexpr int smallestBlockPx = 8;
// Samples of a block each way.
constexpr int samplesAcross = 8;
// A lamp that colours or clips a block does so for longer than this many frames.
constexpr std::size_t framesPerMark = 4;
constexpr float highestLevel = 65535.0F;
// Mean distance of a block's chroma from grey, codes of 8 bits: as LightMeter allows a pixel.
constexpr int greyBoundCodes = 4;

template<typename Sample> const Sample* rowOf(const PlaneView& plane, int y)
{
    return reinterpret_cast<const Sample*>(plane.data + std::ptrdiff_t {y} * plane.strideBytes);
}

bool isSameKind(const PictureView& a, const PictureView& b)
{
    return a.layout == b.layout && a.bitDepth == b.bitDepth && a.colour == b.colour
        && a.chromaShiftX == b.chromaShiftX && a.chromaShiftY == b.chromaShiftY
        && a.widthPx() == b.widthPx() && a.heightPx() == b.heightPx();
}

} // namespace

int mapBlockPx(int widthPx, int heightPx)
{
    const double side = std::sqrt(static_cast<double>(widthPx) * heightPx / wantedBlocks);
    return std::max(smallestBlockPx, 2 * static_cast<int>(std::lround(0.5 * side)));
}

std::int64_t mapBytes(int widthPx, int heightPx, std::int64_t frames)
{
    const int side = mapBlockPx(widthPx, heightPx);
    const std::int64_t columns = (widthPx + side - 1) / side;
    const std::int64_t rows = (heightPx + side - 1) / side;
    return frames * columns * rows * static_cast<std::int64_t>(sizeof(std::uint16_t));
}

RectPx LightMap::block(int column, int row) const
{
    const int x = column * blockPx;
    const int y = row * blockPx;
    return {x, y, std::min(blockPx, widthPx - x), std::min(blockPx, heightPx - y)};
}

bool LightMap::isComplete() const
{
    return std::ranges::all_of(isRead, [](std::uint8_t read) { return read != 0; });
}

bool LightMapper::canMap(const PictureView& picture) { return picture.layout != PlaneLayout::Gbr; }

LightMapper::LightMapper(const PictureView& likeThis, std::int64_t frames)
    : m_likeThis(likeThis)
{
    TL_EXPECTS(canMap(likeThis) && frames >= 0);
    m_map.widthPx = likeThis.widthPx();
    m_map.heightPx = likeThis.heightPx();
    m_map.blockPx = mapBlockPx(m_map.widthPx, m_map.heightPx);
    m_map.frames = frames;
    m_map.marks.assign(m_map.blockCount(), 0);
    m_map.isRead.assign(static_cast<std::size_t>(frames), 0);
    m_map.levels.assign(static_cast<std::size_t>(frames) * m_map.blockCount(), 0);
    m_step = (m_map.blockPx + samplesAcross - 1) / samplesAcross;
    LumaTable table = lumaTable(likeThis);
    m_lumaLight = std::move(table.light);
    m_clipsAt.reserve(table.code.size());
    std::ranges::transform(table.code, std::back_inserter(m_clipsAt),
        [](float code) { return static_cast<std::uint8_t>(isClippedCode(code) ? 1 : 0); });
    m_map.scale = std::sqrt(*std::ranges::max_element(m_lumaLight));
}

void LightMapper::add(FrameIndex frame, const PictureView& picture)
{
    if (!isSameKind(picture, m_likeThis)) {
        return;
    }
    const auto k = static_cast<std::size_t>(frame.value);
    const bool isWide = picture.bitDepth > 8;
    isWide ? read<std::uint16_t>(k, picture) : read<std::uint8_t>(k, picture);
    if (k % framesPerMark == 0) {
        isWide ? mark<std::uint16_t>(picture) : mark<std::uint8_t>(picture);
    }
    m_map.isRead[k] = 1;
}

template<typename Sample> void LightMapper::read(std::size_t frame, const PictureView& picture)
{
    const auto columns = static_cast<std::size_t>(m_map.columns());
    const std::size_t mask = m_lumaLight.size() - 1;
    const float* const light = m_lumaLight.data();
    const int step = m_step;
    std::uint16_t* out = m_map.levels.data() + frame * m_map.blockCount();
    std::vector<float> sums(columns);
    for (int row = 0; row < m_map.rows(); ++row) {
        const RectPx first = m_map.block(0, row);
        std::ranges::fill(sums, 0.0F);
        int lines = 0;
        for (int y = first.y + step / 2; y < first.bottom(); y += step, ++lines) {
            const auto* luma = rowOf<Sample>(picture.planes[0], y);
            for (std::size_t column = 0; column < columns; ++column) {
                const int from = static_cast<int>(column) * m_map.blockPx;
                const int to = std::min(from + m_map.blockPx, m_map.widthPx);
                float sum = 0.0F;
                for (int x = from + step / 2; x < to; x += step) {
                    sum += light[luma[x] & mask];
                }
                sums[column] += sum;
            }
        }
        for (std::size_t column = 0; column < columns; ++column) {
            const RectPx block = m_map.block(static_cast<int>(column), row);
            const int across = (block.width - step / 2 + step - 1) / step;
            const auto samples = static_cast<float>(std::max(1, lines * across));
            // Light below black is noise around it: none of a whole block.
            const float root = std::sqrt(std::max(0.0F, sums[column] / samples)) / m_map.scale;
            // A hot loop; nothing here is below 0. NOLINTNEXTLINE(bugprone-incorrect-roundings)
            *out++ = static_cast<std::uint16_t>(std::min(root, 1.0F) * highestLevel + 0.5F);
        }
    }
}

template<typename Sample>
bool LightMapper::isColoured(const PictureView& picture, RectPx block) const
{
    if (picture.layout != PlaneLayout::Yuv) {
        return false;
    }
    const int zero = 1 << (picture.bitDepth - 1);
    const int bound = greyBoundCodes << (picture.bitDepth - 8);
    const int step = 2 * m_step;
    int samples = 0;
    int fromBlue = 0;
    int fromRed = 0;
    for (int y = block.y + m_step / 2; y < block.bottom(); y += step) {
        const auto* cb = rowOf<Sample>(picture.planes[1], y >> picture.chromaShiftY);
        const auto* cr = rowOf<Sample>(picture.planes[2], y >> picture.chromaShiftY);
        for (int x = block.x + m_step / 2; x < block.right(); x += step) {
            fromBlue += std::abs(static_cast<int>(cb[x >> picture.chromaShiftX]) - zero);
            fromRed += std::abs(static_cast<int>(cr[x >> picture.chromaShiftX]) - zero);
            ++samples;
        }
    }
    return std::max(fromBlue, fromRed) > bound * samples;
}

template<typename Sample>
bool LightMapper::isClipped(const PictureView& picture, RectPx block) const
{
    const std::size_t mask = m_clipsAt.size() - 1;
    for (int y = block.y + m_step / 2; y < block.bottom(); y += m_step) {
        const auto* luma = rowOf<Sample>(picture.planes[0], y);
        for (int x = block.x + m_step / 2; x < block.right(); x += m_step) {
            if (m_clipsAt[luma[x] & mask] != 0) {
                return true;
            }
        }
    }
    return false;
}

template<typename Sample> void LightMapper::mark(const PictureView& picture)
{
    std::size_t block = 0;
    for (int row = 0; row < m_map.rows(); ++row) {
        for (int column = 0; column < m_map.columns(); ++column, ++block) {
            const RectPx place = m_map.block(column, row);
            if (isColoured<Sample>(picture, place)) {
                setMark(block, LightMap::Coloured);
            }
            if (isClipped<Sample>(picture, place)) {
                setMark(block, LightMap::Clipped);
            }
        }
    }
}

void LightMapper::setMark(std::size_t block, std::uint8_t mark)
{
    // Frames of several threads set the marks of one block.
    std::atomic_ref(m_map.marks[block]).fetch_or(mark, std::memory_order_relaxed);
}

} // namespace twinlamp::trace

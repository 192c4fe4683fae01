// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/frame_marks.h"

#include <cstring>

namespace twinlamp::film {

namespace {

constexpr int bits = 24;
constexpr int cells = bits + 2;
constexpr int cellWidthPx = 4;
constexpr int cellHeightPx = 8;

int sampleAt(const footage::PictureView& picture, int x, int y)
{
    const footage::PlaneView& plane = picture.planes[0];
    const std::uint8_t* row = plane.data + plane.strideBytes * y;
    if (picture.bitDepth <= 8) {
        return row[x];
    }
    std::uint16_t sample = 0;
    std::memcpy(&sample, row + 2 * std::ptrdiff_t {x}, sizeof sample);
    return sample;
}

int cellMean(const footage::PictureView& picture, int cell)
{
    int sum = 0;
    for (int y = 2; y < cellHeightPx - 2; ++y) {
        sum += sampleAt(picture, cell * cellWidthPx + 1, y)
            + sampleAt(picture, cell * cellWidthPx + 2, y);
    }
    return sum / (2 * (cellHeightPx - 4));
}

} // namespace

void paintFrameMark(std::int64_t frame, CodedPicture& picture)
{
    const int dark = 16 << (picture.bitDepth - 8);
    const int bright = 230 << (picture.bitDepth - 8);
    for (int cell = 0; cell < cells; ++cell) {
        const bool bit = cell < 2 ? cell == 0 : ((frame >> (cells - 1 - cell)) & 1) != 0;
        for (int y = 0; y < cellHeightPx; ++y) {
            for (int x = cell * cellWidthPx; x < (cell + 1) * cellWidthPx; ++x) {
                const auto i
                    = static_cast<std::size_t>(y) * static_cast<std::size_t>(picture.widthPx)
                    + static_cast<std::size_t>(x);
                const int value = bit ? bright : dark;
                if (picture.bitDepth <= 8) {
                    picture.planes[0][i] = static_cast<std::uint8_t>(value);
                } else {
                    const auto sample = static_cast<std::uint16_t>(value);
                    std::memcpy(&picture.planes[0][2 * i], &sample, sizeof sample);
                }
            }
        }
    }
}

std::optional<std::int64_t> readFrameMark(const footage::PictureView& picture)
{
    if (picture.widthPx() < cells * cellWidthPx || picture.heightPx() < cellHeightPx) {
        return std::nullopt;
    }
    const int bright = cellMean(picture, 0);
    const int dark = cellMean(picture, 1);
    const int leastStep = 64 << (picture.bitDepth - 8);
    if (bright - dark < leastStep) {
        return std::nullopt;
    }
    std::int64_t number = 0;
    for (int cell = 2; cell < cells; ++cell) {
        number = number * 2 + (2 * cellMean(picture, cell) > bright + dark ? 1 : 0);
    }
    const bool negative = number >= (std::int64_t {1} << (bits - 1));
    return negative ? number - (std::int64_t {1} << bits) : number;
}

} // namespace twinlamp::film

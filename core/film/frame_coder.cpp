// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/frame_marks.h"
#include "core/film/frame_renderer.h"
#include "core/film/random.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <numeric>

namespace twinlamp::film {

namespace {

constexpr std::size_t noiseTileSize = std::size_t {1} << 16U;
constexpr double sensorClip = 1.0; // light at which a channel is full

std::vector<float> noiseTile(std::uint64_t seed, int widthPx)
{
    Random random(seed, Stream::NoiseTile);
    std::vector<double> draws(noiseTileSize);
    std::ranges::generate(draws, [&] { return random.normal(); });
    const double mean = std::accumulate(draws.begin(), draws.end(), 0.0) / noiseTileSize;
    double squares = 0.0;
    for (const double draw : draws) {
        squares += (draw - mean) * (draw - mean);
    }
    const double sd = std::sqrt(squares / noiseTileSize);
    // A row may start anywhere in the tile: its head is repeated past the end.
    std::vector<float> tile(noiseTileSize + static_cast<std::size_t>(widthPx));
    for (std::size_t i = 0; i < tile.size(); ++i) {
        tile[i] = static_cast<float>((draws[i % noiseTileSize] - mean) / sd);
    }
    return tile;
}

template<typename Sample> Sample* rowOf(std::vector<std::uint8_t>& plane, int y, int width)
{
    return reinterpret_cast<Sample*>(plane.data())
        + static_cast<std::ptrdiff_t>(y) * static_cast<std::ptrdiff_t>(width);
}

template<typename Sample> Sample toCode(double value, int largest)
{
    return static_cast<Sample>(std::clamp(std::lround(value), 0L, static_cast<long>(largest)));
}

} // namespace

footage::PictureView CodedPicture::view() const
{
    footage::PictureView picture;
    picture.bitDepth = bitDepth;
    picture.colour = colour;
    const int bytes = bitDepth > 8 ? 2 : 1;
    for (std::size_t p = 0; p < 3; ++p) {
        const int width = p == 0 ? widthPx : widthPx / 2;
        const int height = p == 0 ? heightPx : heightPx / 2;
        picture.planes[p] = {planes[p].data(), std::ptrdiff_t {width} * bytes, width, height};
    }
    return picture;
}

FrameCoder::FrameCoder(const Scene& scene, const footage::Orientation& orientation)
    : m_camera(scene.camera)
    , m_seed(scene.seed)
    , m_orientation(orientation)
    , m_frameMarks(scene.file.frameMarks)
    , m_range(codeRange(scene.camera.bitDepth, scene.camera.fullRange))
    , m_weights(lumaWeights(scene.camera.matrix))
    , m_table(scene.camera, sensorClip)
    , m_noise(noiseTile(scene.seed, orientation.storedWidthPx))
{
}

CodedPicture FrameCoder::blank() const
{
    CodedPicture picture;
    picture.widthPx = m_orientation.storedWidthPx;
    picture.heightPx = m_orientation.storedHeightPx;
    picture.bitDepth = m_camera.bitDepth;
    const ColourCodes codes = colourCodes(m_camera.transfer, m_camera.matrix);
    picture.colour = {codes.matrix, codes.transfer, codes.primaries, m_camera.fullRange};
    if (!m_camera.tagColour) {
        picture.colour = {2, 2, 2, m_camera.fullRange};
    }
    const std::size_t bytes = m_camera.bitDepth > 8 ? 2 : 1;
    const auto pixels
        = static_cast<std::size_t>(picture.widthPx) * static_cast<std::size_t>(picture.heightPx);
    picture.planes[0].resize(pixels * bytes);
    for (std::size_t p = 1; p < 3; ++p) {
        picture.planes[p].resize(pixels / 4 * bytes);
        const auto neutral = static_cast<std::uint16_t>(m_range.chromaOffset);
        if (bytes == 1) {
            std::ranges::fill(picture.planes[p], static_cast<std::uint8_t>(neutral));
        } else {
            auto* samples = reinterpret_cast<std::uint16_t*>(picture.planes[p].data());
            std::fill_n(samples, pixels / 4, neutral);
        }
    }
    return picture;
}

std::size_t FrameCoder::noisePlace(std::int64_t frame, int row, int plane) const
{
    const std::int64_t line = (frame * m_orientation.storedHeightPx + row) * 3 + plane;
    return static_cast<std::size_t>(Random(m_seed, Stream::NoisePlace, line).next())
        % noiseTileSize;
}

void FrameCoder::noisyIndexes(
    const float* light, int count, std::size_t noiseStart, int* indexes) const
{
    const float* noise = m_noise.data() + noiseStart;
    const auto shot = static_cast<float>(m_camera.shotNoise * m_camera.shotNoise);
    const auto read = static_cast<float>(m_camera.readNoise * m_camera.readNoise);
    constexpr auto scale = static_cast<float>(LevelTable::steps() / sensorClip);
    constexpr auto top = static_cast<float>(LevelTable::steps());
    for (int x = 0; x < count; ++x) {
        const float noisy = light[x] + noise[x] * std::sqrt(shot * light[x] + read);
        const float index = noisy * scale + 0.5F;
        indexes[x] = static_cast<int>(std::min(std::max(index, 0.0F), top));
    }
}

template<typename Sample>
void FrameCoder::codeGrey(std::int64_t frame, const LightPicture& light, CodedPicture& out) const
{
    std::vector<int> indexes(static_cast<std::size_t>(out.widthPx));
    const std::uint16_t* codes = m_table.greyCodes().data();
    for (int y = 0; y < out.heightPx; ++y) {
        const float* in = light.planes[0].data() + std::ptrdiff_t {y} * out.widthPx;
        noisyIndexes(in, out.widthPx, noisePlace(frame, y, 0), indexes.data());
        auto* row = rowOf<Sample>(out.planes[0], y, out.widthPx);
        for (int x = 0; x < out.widthPx; ++x) {
            row[x] = static_cast<Sample>(codes[indexes[static_cast<std::size_t>(x)]]);
        }
    }
}

template<typename Sample>
void FrameCoder::codeColour(
    std::int64_t frame, const LightPicture& light, RectPx box, CodedPicture& out) const
{
    const auto width = static_cast<std::size_t>(box.width);
    std::vector<int> indexes(width);
    std::vector<double> blueSum(width / 2);
    std::vector<double> redSum(width / 2);
    std::array<std::vector<float>, 3> levels;
    const float* table = m_table.levels().data();
    for (int y = box.y; y < box.bottom(); ++y) {
        for (std::size_t p = 0; p < 3; ++p) {
            const float* in = light.planes[p].data() + std::ptrdiff_t {y} * out.widthPx + box.x;
            noisyIndexes(in, box.width, noisePlace(frame, y, static_cast<int>(p)), indexes.data());
            levels[p].resize(width);
            for (std::size_t x = 0; x < width; ++x) {
                levels[p][x] = table[indexes[x]];
            }
        }
        auto* row = rowOf<Sample>(out.planes[0], y, out.widthPx) + box.x;
        for (std::size_t x = 0; x < width; ++x) {
            const auto red = static_cast<double>(levels[0][x]);
            const auto green = static_cast<double>(levels[1][x]);
            const auto blue = static_cast<double>(levels[2][x]);
            const double luma
                = m_weights.red * red + m_weights.green() * green + m_weights.blue * blue;
            row[x] = toCode<Sample>(m_range.lumaScale * luma + m_range.lumaOffset, m_range.largest);
            blueSum[x / 2] += (blue - luma) / (2.0 * (1.0 - m_weights.blue));
            redSum[x / 2] += (red - luma) / (2.0 * (1.0 - m_weights.red));
        }
        if (y % 2 == 0) {
            continue; // one chroma sample for two rows
        }
        auto* cb = rowOf<Sample>(out.planes[1], y / 2, out.widthPx / 2) + box.x / 2;
        auto* cr = rowOf<Sample>(out.planes[2], y / 2, out.widthPx / 2) + box.x / 2;
        for (std::size_t x = 0; x < width / 2; ++x) {
            cb[x] = toCode<Sample>(
                m_range.chromaScale * blueSum[x] / 4.0 + m_range.chromaOffset, m_range.largest);
            cr[x] = toCode<Sample>(
                m_range.chromaScale * redSum[x] / 4.0 + m_range.chromaOffset, m_range.largest);
            blueSum[x] = 0.0;
            redSum[x] = 0.0;
        }
    }
}

void FrameCoder::code(std::int64_t frame, const LightPicture& light,
    const std::vector<RectPx>& colourBoxes, CodedPicture& out) const
{
    const bool deep = m_camera.bitDepth > 8;
    deep ? codeGrey<std::uint16_t>(frame, light, out) : codeGrey<std::uint8_t>(frame, light, out);
    for (const RectPx& box : colourBoxes) {
        deep ? codeColour<std::uint16_t>(frame, light, box, out)
             : codeColour<std::uint8_t>(frame, light, box, out);
    }
    if (m_frameMarks) {
        paintFrameMark(frame, out);
    }
}

} // namespace twinlamp::film

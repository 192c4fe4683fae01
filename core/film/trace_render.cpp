// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/trace_render.h"

#include "core/film/frame_renderer.h"
#include "core/film/random.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::film {

namespace {

/// Means of one region, frame by frame.
class RegionReader
{
public:
    RegionReader(const Studio& studio, RectPx upright, TraceNoise noise, std::int64_t number)
        : m_rect(footage::toStored(upright, studio.orientation()))
        , m_camera(studio.scene().camera)
        , m_weights(lumaWeights(studio.scene().camera.matrix))
        , m_noise(noise)
        , m_random(studio.scene().seed, Stream::TraceNoise, number)
    {
    }

    float read(FrameRenderer& renderer, std::int64_t frame, LightPicture& scratch)
    {
        renderer.compose(frame, m_rect, scratch);
        const bool coloured = renderer.isColoured();
        double sum = 0.0;
        for (std::size_t p = 0; p < (coloured ? 3U : 1U); ++p) {
            sum += weight(coloured, p) * planeSum(scratch, p);
        }
        const auto pixels = static_cast<double>(m_rect.areaPx());
        double mean = sum / pixels;
        if (m_noise == TraceNoise::Camera) {
            const double variance = m_camera.shotNoise * m_camera.shotNoise * mean
                + m_camera.readNoise * m_camera.readNoise;
            mean += m_random.normal() * std::sqrt(variance * noiseShare(coloured) / pixels);
        }
        return static_cast<float>(mean);
    }

private:
    [[nodiscard]] double weight(bool coloured, std::size_t plane) const
    {
        const std::array<double, 3> weights {m_weights.red, m_weights.green(), m_weights.blue};
        return coloured ? weights[plane] : 1.0;
    }

    /// Three channels with noise of their own leave less of it in their weighted mean.
    [[nodiscard]] double noiseShare(bool coloured) const
    {
        double squares = 0.0;
        for (std::size_t p = 0; p < 3; ++p) {
            squares += weight(true, p) * weight(true, p);
        }
        return coloured ? squares : 1.0;
    }

    [[nodiscard]] double planeSum(const LightPicture& picture, std::size_t plane) const
    {
        double sum = 0.0;
        for (int y = m_rect.y; y < m_rect.bottom(); ++y) {
            const float* row
                = picture.planes[plane].data() + std::ptrdiff_t {y} * picture.widthPx + m_rect.x;
            float rowSum = 0.0F;
            for (int x = 0; x < m_rect.width; ++x) {
                rowSum += std::min(row[x], 1.0F);
            }
            sum += static_cast<double>(rowSum);
        }
        return sum;
    }

    RectPx m_rect;
    Camera m_camera;
    LumaWeights m_weights;
    TraceNoise m_noise;
    Random m_random;
};

/// Light and clipped pixels of the cells of a region, frame by frame.
class CellReader
{
public:
    CellReader(const Studio& studio, const RegionGrid& grid, TraceNoise noise, std::int64_t number)
        : m_rect(footage::toStored(grid.upright, studio.orientation()))
        , m_weights(lumaWeights(studio.scene().camera.matrix))
        , m_camera(studio.scene().camera)
        , m_noise(noise)
        , m_random(studio.scene().seed, Stream::TraceNoise, gridNumbers + number)
    {
        for (int row = 0; row < grid.rows; ++row) {
            for (int column = 0; column < grid.columns; ++column) {
                const RectPx cell = cellRect(grid, column, row);
                const auto pixels = static_cast<double>(cell.areaPx());
                const double read = grid.samplesPerCell > 0
                    ? std::min<double>(grid.samplesPerCell, pixels)
                    : pixels;
                m_cells.push_back({cell, pixels, read});
            }
        }
    }

    void read(FrameRenderer& renderer, std::int64_t frame, LightPicture& scratch, RegionFilm& film)
    {
        renderer.compose(frame, m_rect, scratch);
        const bool coloured = renderer.isColoured();
        double sum = 0.0;
        double clipped = 0.0;
        for (const Cell& cell : m_cells) {
            const double mean
                = noisyMean(cellLight(cell.rect, coloured, scratch, clipped) / cell.pixels,
                    coloured, cell.read);
            film.cells.push_back(static_cast<float>(mean));
            sum += mean * cell.pixels;
        }
        const auto pixels = static_cast<double>(m_rect.areaPx());
        film.mean.push_back(static_cast<float>(sum / pixels));
        film.clipped.push_back(static_cast<float>(clipped / pixels));
    }

private:
    struct Cell
    {
        RectPx rect;
        double pixels;
        double read;
    };

    // Streams of the grids' noise, apart from those of renderTraces.
    static constexpr std::int64_t gridNumbers = 16;

    [[nodiscard]] RectPx cellRect(const RegionGrid& grid, int column, int row) const
    {
        const int left = m_rect.width * column / grid.columns;
        const int right = m_rect.width * (column + 1) / grid.columns;
        const int top = m_rect.height * row / grid.rows;
        const int bottom = m_rect.height * (row + 1) / grid.rows;
        return {m_rect.x + left, m_rect.y + top, right - left, bottom - top};
    }

    [[nodiscard]] std::array<double, 3> weights(bool coloured) const
    {
        return coloured ? std::array {m_weights.red, m_weights.green(), m_weights.blue}
                        : std::array {1.0, 0.0, 0.0};
    }

    /// Sum over the pixels; counts those with a channel at full scale.
    [[nodiscard]] double cellLight(
        RectPx cell, bool coloured, const LightPicture& picture, double& clipped) const
    {
        const auto weight = weights(coloured);
        double sum = 0.0;
        for (int y = cell.y; y < cell.bottom(); ++y) {
            const auto start
                = static_cast<std::size_t>(std::ptrdiff_t {y} * picture.widthPx + cell.x);
            for (std::size_t x = start; x < start + static_cast<std::size_t>(cell.width); ++x) {
                bool full = false;
                for (std::size_t p = 0; p < (coloured ? 3U : 1U); ++p) {
                    const float light = picture.planes[p][x];
                    full = full || light >= 1.0F;
                    sum += weight[p] * static_cast<double>(std::min(light, 1.0F));
                }
                clipped += full ? 1.0 : 0.0;
            }
        }
        return sum;
    }

    [[nodiscard]] double noisyMean(double mean, bool coloured, double pixels)
    {
        if (m_noise == TraceNoise::None) {
            return mean;
        }
        // Channels with noise of their own leave less of it in their weighted mean.
        double squares = 0.0;
        for (const double weight : weights(coloured)) {
            squares += weight * weight;
        }
        const double variance = m_camera.shotNoise * m_camera.shotNoise * mean
            + m_camera.readNoise * m_camera.readNoise;
        return mean + m_random.normal() * std::sqrt(variance * squares / pixels);
    }

    RectPx m_rect;
    LumaWeights m_weights;
    Camera m_camera;
    TraceNoise m_noise;
    Random m_random;
    std::vector<Cell> m_cells;
};

} // namespace

RegionFilm renderRegion(
    const Studio& studio, const RegionGrid& grid, TraceNoise noise, std::int64_t number)
{
    FrameRenderer renderer(studio);
    LightPicture scratch = renderer.blank();
    CellReader reader(studio, grid, noise, number);
    RegionFilm film;
    for (const std::int64_t frame : studio.cameraFrames()) {
        if (frame >= 0) {
            reader.read(renderer, frame, scratch, film);
        }
    }
    return film;
}

ClipTraces renderTraces(
    const Studio& studio, const RegionSet& regions, TraceNoise noise, bool withPanel)
{
    FrameRenderer renderer(studio);
    LightPicture scratch = renderer.blank();
    RegionReader reference(studio, regions.reference, noise, 0);
    RegionReader goggle(studio, regions.goggle, noise, 1);
    std::optional<RegionReader> panel;
    if (withPanel && regions.panel) {
        panel.emplace(studio, *regions.panel, noise, 2);
    }
    ClipTraces traces;
    for (const std::int64_t frame : studio.cameraFrames()) {
        if (frame < 0) {
            continue;
        }
        traces.exposureStart.push_back(realTimeFromMs(studio.exposure(frame, 0).startMs));
        traces.reference.push_back(reference.read(renderer, frame, scratch));
        traces.goggle.push_back(goggle.read(renderer, frame, scratch));
        if (panel) {
            traces.panel.push_back(panel->read(renderer, frame, scratch));
        }
    }
    return traces;
}

ClipTraces renderTraces(const Scene& scene)
{
    const Studio studio(scene);
    return renderTraces(studio, studio.regions(), TraceNoise::Camera, true);
}

} // namespace twinlamp::film

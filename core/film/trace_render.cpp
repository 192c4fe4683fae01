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

} // namespace

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

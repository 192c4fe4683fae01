// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/frame_renderer.h"

#include "core/film/random.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace twinlamp::film {

namespace {

bool isGrey(const Colour& colour) { return colour[0] == colour[1] && colour[1] == colour[2]; }

/// Grows to even pixels, as chroma needs, and by a margin, inside the picture.
RectPx evenBox(RectPx rect, int margin, const footage::Orientation& orientation)
{
    const int left = (rect.x - margin) & ~1;
    const int top = (rect.y - margin) & ~1;
    const int right = (rect.right() + margin + 1) & ~1;
    const int bottom = (rect.bottom() + margin + 1) & ~1;
    return intersection({left, top, right - left, bottom - top},
        {0, 0, orientation.storedWidthPx, orientation.storedHeightPx});
}

RectPx boundingBox(RectPx a, RectPx b)
{
    const int left = std::min(a.x, b.x);
    const int top = std::min(a.y, b.y);
    return {
        left, top, std::max(a.right(), b.right()) - left, std::max(a.bottom(), b.bottom()) - top};
}

/// Joins boxes that overlap, until none do.
std::vector<RectPx> merged(std::vector<RectPx> boxes)
{
    for (std::size_t i = 0; i < boxes.size(); ++i) {
        for (std::size_t j = i + 1; j < boxes.size(); ++j) {
            if (!intersection(boxes[i], boxes[j]).isEmpty()) {
                boxes[i] = boundingBox(boxes[i], boxes[j]);
                boxes.erase(boxes.begin() + static_cast<std::ptrdiff_t>(j));
                return merged(std::move(boxes));
            }
        }
    }
    return boxes;
}

void addScaled(float* out, const float* in, float factor, int count)
{
    for (int x = 0; x < count; ++x) {
        out[x] += factor * in[x];
    }
}

void addProduct(float* out, const float* in, const float* factors, float scale, int count)
{
    for (int x = 0; x < count; ++x) {
        out[x] += scale * factors[x] * in[x];
    }
}

} // namespace

FrameRenderer::FrameRenderer(const Studio& studio)
    : m_studio(&studio)
    , m_coder(studio.scene(), studio.orientation())
    , m_motion(studio.scene())
    , m_groupHints(studio.panel().groupCount(), 0)
    , m_spotHints(studio.maps().spots.size(), 0)
    , m_baseShare(static_cast<std::size_t>(studio.maps().panel.rect.width))
    , m_lampShare(m_baseShare.size())
    , m_shown(studio.panel().groupCount())
    , m_coded(m_coder.blank())
{
    m_flickerPhase
        = Random(studio.scene().seed, Stream::Flicker).uniform(0.0, 2.0 * std::numbers::pi);
    findColourBoxes();
    m_light = blank();
    m_shaken = blank();
}

void FrameRenderer::findColourBoxes()
{
    constexpr double farthestShake = 4.0; // standard deviations
    const int margin = static_cast<int>(
        std::ceil(2.0 * farthestShake * m_studio->scene().camera.shake.amplitudePx));
    std::vector<RectPx> boxes;
    for (const SpotMap& spot : m_studio->maps().spots) {
        if (!isGrey(spot.colour)) {
            boxes.push_back(evenBox(spot.rect, margin, m_studio->orientation()));
        }
    }
    const PanelMap& panel = m_studio->maps().panel;
    if (!panel.rect.isEmpty() && !isGrey(panel.colour)) {
        boxes.push_back(evenBox(panel.rect, margin, m_studio->orientation()));
    }
    m_colourBoxes = merged(std::move(boxes));
}

LightPicture FrameRenderer::blank() const
{
    LightPicture picture;
    picture.widthPx = m_studio->orientation().storedWidthPx;
    picture.heightPx = m_studio->orientation().storedHeightPx;
    for (int p = 0; p < planeCount(); ++p) {
        picture.planes[static_cast<std::size_t>(p)].resize(
            static_cast<std::size_t>(picture.widthPx) * static_cast<std::size_t>(picture.heightPx));
    }
    return picture;
}

double FrameRenderer::flicker(Span exposure) const
{
    const Room& room = m_studio->scene().room;
    if (room.mainsHz <= 0.0) {
        return 1.0;
    }
    // Lamps on the mains are brightest twice in each period. Mean of the wave over the exposure.
    const double omega = 2.0 * std::numbers::pi * 2.0 * room.mainsHz * 1e-3;
    const double swing = std::cos(omega * exposure.startMs + m_flickerPhase)
        - std::cos(omega * exposure.endMs + m_flickerPhase);
    return 1.0 + room.flickerDepth * swing / (omega * exposure.lengthMs());
}

void FrameRenderer::composeRoom(std::int64_t frame, RectPx part, LightPicture& out)
{
    const std::vector<float>& room = m_studio->maps().room;
    for (int y = part.y; y < part.bottom(); ++y) {
        const auto factor = static_cast<float>(flicker(m_studio->exposure(frame, y)));
        const std::ptrdiff_t start = std::ptrdiff_t {y} * out.widthPx + part.x;
        for (int p = 0; p < planeCount(); ++p) {
            float* row = out.planes[static_cast<std::size_t>(p)].data() + start;
            const float* in = room.data() + start;
            for (int x = 0; x < part.width; ++x) {
                row[x] = factor * in[x];
            }
        }
    }
}

void FrameRenderer::composeSpot(
    std::int64_t frame, const SpotMap& spot, std::size_t index, RectPx part, LightPicture& out)
{
    const RectPx visible = intersection(spot.rect, part);
    std::size_t& hint = m_spotHints[index];
    for (int y = visible.y; y < visible.bottom(); ++y) {
        const Span exposure = m_studio->exposure(frame, y);
        double share = 0.0;
        switch (spot.source) {
        case LightSource::ReferenceLamp:
            share = m_studio->referenceLamp().mean(exposure, hint);
            break;
        case LightSource::LinkLamp:
            share = m_studio->linkLamp().mean(exposure, hint);
            break;
        case LightSource::PanelLamp:
            share = m_studio->panel().lampMean(m_studio->maps().panel.lampGroup, exposure, hint);
            break;
        }
        const std::ptrdiff_t start = std::ptrdiff_t {y} * out.widthPx + visible.x;
        const float* gain = spot.gain.data() + std::ptrdiff_t {y - spot.rect.y} * spot.rect.width
            + (visible.x - spot.rect.x);
        for (std::size_t p = 0; p < static_cast<std::size_t>(planeCount()); ++p) {
            addScaled(out.planes[p].data() + start, gain,
                static_cast<float>(share * spot.colour[p]), visible.width);
        }
    }
}

const float* FrameRenderer::baseRow(int storedRow, std::int64_t linkFrame) const
{
    const PanelMap& map = m_studio->maps().panel;
    const auto shift = std::llround(
        static_cast<double>(linkFrame) * m_studio->scene().panel.movePx * map.moveSign);
    const std::int64_t wrapped = (shift % map.periodPx + map.periodPx) % map.periodPx;
    const std::int64_t row = storedRow - map.rect.y + (map.movesByRow ? wrapped : 0);
    return map.base.data() + row * map.baseStride + (map.movesByRow ? 0 : wrapped);
}

void FrameRenderer::composePanelRows(std::int64_t frame, RectPx part, LightPicture& out)
{
    const PanelMap& map = m_studio->maps().panel;
    const RectPx visible = intersection(map.rect, part);
    const PanelLight& panel = m_studio->panel();
    const int left = visible.x - map.rect.x;
    const bool moving = m_studio->scene().panel.movePx != 0.0;
    for (int y = visible.y; y < visible.bottom(); ++y) {
        const std::size_t group = map.groupOf[static_cast<std::size_t>(y - map.rect.y)];
        const Span exposure = m_studio->exposure(frame, y);
        const double lamp = panel.lampMean(group, exposure, m_groupHints[group]);
        const std::ptrdiff_t start = std::ptrdiff_t {y} * out.widthPx + visible.x;
        const float* gain
            = map.lampGain.data() + std::ptrdiff_t {y - map.rect.y} * map.rect.width + left;
        for (std::size_t p = 0; p < static_cast<std::size_t>(planeCount()); ++p) {
            float* row = out.planes[p].data() + start;
            if (moving) {
                panel.pictures(group, exposure, [&](std::int64_t linkFrame, double share) {
                    addScaled(row, baseRow(y, linkFrame) + left, static_cast<float>(share),
                        visible.width);
                });
            } else {
                addScaled(row, baseRow(y, 0) + left,
                    static_cast<float>(panel.strobeMean(group, exposure)), visible.width);
            }
            addScaled(row, gain, static_cast<float>(lamp * map.colour[p]), visible.width);
        }
    }
}

void FrameRenderer::composePanelColumns(std::int64_t frame, RectPx part, LightPicture& out)
{
    const PanelMap& map = m_studio->maps().panel;
    const RectPx visible = intersection(map.rect, part);
    const PanelLight& panel = m_studio->panel();
    const int left = visible.x - map.rect.x;
    const bool moving = m_studio->scene().panel.movePx != 0.0;
    const std::size_t* groups = map.groupOf.data() + left;
    const bool sameForAllRows = m_studio->scene().camera.lineTimeUs == 0.0;
    for (int y = visible.y; y < visible.bottom(); ++y) {
        const Span exposure = m_studio->exposure(frame, y);
        for (int x = 0; x < visible.width && (y == visible.y || !sameForAllRows); ++x) {
            const std::size_t group = groups[x];
            m_lampShare[static_cast<std::size_t>(x)]
                = static_cast<float>(panel.lampMean(group, exposure, m_groupHints[group]));
            m_baseShare[static_cast<std::size_t>(x)]
                = static_cast<float>(panel.strobeMean(group, exposure));
        }
        const std::ptrdiff_t start = std::ptrdiff_t {y} * out.widthPx + visible.x;
        const float* gain
            = map.lampGain.data() + std::ptrdiff_t {y - map.rect.y} * map.rect.width + left;
        for (std::size_t p = 0; p < static_cast<std::size_t>(planeCount()); ++p) {
            float* row = out.planes[p].data() + start;
            for (int x = 0; moving && x < visible.width; ++x) {
                panel.pictures(groups[x], exposure, [&](std::int64_t linkFrame, double share) {
                    row[x] += static_cast<float>(share) * baseRow(y, linkFrame)[left + x];
                });
            }
            if (!moving) {
                addProduct(row, baseRow(y, 0) + left, m_baseShare.data(), 1.0F, visible.width);
            }
            addProduct(
                row, gain, m_lampShare.data(), static_cast<float>(map.colour[p]), visible.width);
        }
    }
}

const FrameRenderer::Shown& FrameRenderer::shownBy(std::size_t group, Span exposure)
{
    const PanelMap& map = m_studio->maps().panel;
    const PanelLight& panel = m_studio->panel();
    Shown& shown = m_shown[group];
    if (shown.exposedMs == exposure.startMs) {
        return shown;
    }
    shown.exposedMs = exposure.startMs;
    shown.lamp = static_cast<float>(panel.lampMean(group, exposure, m_groupHints[group]));
    shown.base.clear();
    const double movePx = m_studio->scene().panel.movePx;
    if (movePx == 0.0) {
        shown.base.emplace_back(0, static_cast<float>(panel.strobeMean(group, exposure)));
        return shown;
    }
    panel.pictures(group, exposure, [&](std::int64_t linkFrame, double share) {
        const auto shift = std::llround(static_cast<double>(linkFrame) * movePx);
        const std::int64_t wrapped = (shift % map.periodPx + map.periodPx) % map.periodPx;
        shown.base.emplace_back(static_cast<std::size_t>(wrapped), static_cast<float>(share));
    });
    return shown;
}

void FrameRenderer::composeTurnedPanel(std::int64_t frame, RectPx part, LightPicture& out)
{
    const PanelMap& map = m_studio->maps().panel;
    const RectPx visible = intersection(map.rect, part);
    const auto planes = static_cast<std::size_t>(planeCount());
    for (int y = visible.y; y < visible.bottom(); ++y) {
        const Span exposure = m_studio->exposure(frame, y);
        auto in = static_cast<std::size_t>(
            std::ptrdiff_t {y - map.rect.y} * map.rect.width + (visible.x - map.rect.x));
        auto at = static_cast<std::size_t>(std::ptrdiff_t {y} * out.widthPx + visible.x);
        for (int x = 0; x < visible.width; ++x, ++in, ++at) {
            const PanelPixel& pixel = map.pixels[in];
            if (!pixel.isPanel) {
                continue;
            }
            const Shown& shown = shownBy(pixel.group, exposure);
            float base = 0.0F;
            for (const auto& [motion, share] : shown.base) {
                base += share * map.base[pixel.basePixel + motion];
            }
            for (std::size_t p = 0; p < planes; ++p) {
                out.planes[p][at]
                    += base + shown.lamp * map.lampGain[in] * static_cast<float>(map.colour[p]);
            }
        }
    }
}

void FrameRenderer::compose(std::int64_t frame, RectPx part, LightPicture& out)
{
    composeRoom(frame, part, out);
    const LightMaps& maps = m_studio->maps();
    if (!maps.panel.rect.isEmpty()) {
        if (!maps.panel.pixels.empty()) {
            composeTurnedPanel(frame, part, out);
        } else if (maps.panel.groupsByColumn) {
            composePanelColumns(frame, part, out);
        } else {
            composePanelRows(frame, part, out);
        }
    }
    for (std::size_t i = 0; i < maps.spots.size(); ++i) {
        composeSpot(frame, maps.spots[i], i, part, out);
    }
}

void FrameRenderer::shake(std::int64_t frame, const LightPicture& in, LightPicture& out) const
{
    const Span exposure = m_studio->exposure(frame, in.heightPx / 2);
    const ShiftPx shift = m_motion.at(0.5 * (exposure.startMs + exposure.endMs));
    const double floorX = std::floor(-shift.x);
    const double floorY = std::floor(-shift.y);
    const auto u = static_cast<float>(-shift.x - floorX);
    const auto v = static_cast<float>(-shift.y - floorY);
    const int dx = static_cast<int>(floorX);
    const int dy = static_cast<int>(floorY);
    const auto clampX = [&](int x) { return std::clamp(x, 0, in.widthPx - 1); };
    const auto clampY = [&](int y) { return std::clamp(y, 0, in.heightPx - 1); };
    for (std::size_t p = 0; p < static_cast<std::size_t>(planeCount()); ++p) {
        for (int y = 0; y < in.heightPx; ++y) {
            const float* a = in.planes[p].data() + std::ptrdiff_t {clampY(y + dy)} * in.widthPx;
            const float* b = in.planes[p].data() + std::ptrdiff_t {clampY(y + dy + 1)} * in.widthPx;
            float* row = out.planes[p].data() + std::ptrdiff_t {y} * in.widthPx;
            for (int x = 0; x < in.widthPx; ++x) {
                const int l = clampX(x + dx);
                const int r = clampX(x + dx + 1);
                row[x] = (1.0F - v) * ((1.0F - u) * a[l] + u * a[r])
                    + v * ((1.0F - u) * b[l] + u * b[r]);
            }
        }
    }
}

const CodedPicture& FrameRenderer::render(std::int64_t frame)
{
    compose(frame, {0, 0, m_light.widthPx, m_light.heightPx}, m_light);
    const bool shaken = m_studio->scene().camera.shake.amplitudePx > 0.0;
    if (shaken) {
        shake(frame, m_light, m_shaken);
    }
    m_coder.code(frame, shaken ? m_shaken : m_light, m_colourBoxes, m_coded);
    return m_coded;
}

} // namespace twinlamp::film

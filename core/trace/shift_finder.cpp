// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/shift_finder.h"

#include "core/trace/patch_set.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace twinlamp::trace {

using footage::PictureView;

namespace {

// Width of the reduced picture: searching it costs a fraction of decoding a frame.
constexpr int reducedWidthPx = 160;
constexpr int reducedPatchPx = 8;
constexpr std::size_t reducedPatches = 48;
constexpr std::size_t finePatches = 32;
// Farthest shifts looked for, px of the reduced picture: what a hand does, and a tenth of the
// width.
constexpr int nearReach = 5;
constexpr int farReach = 16;
// Worse than this a shift is no help.
constexpr double worstErrorPx = 0.25;

RectPx grown(RectPx rect, int by)
{
    return {rect.x - by, rect.y - by, rect.width + 2 * by, rect.height + 2 * by};
}

cv::Mat reduced(const PictureView& picture, int factor)
{
    const auto& plane = picture.planes[0];
    const cv::Mat full(plane.heightPx, plane.widthPx, picture.bitDepth > 8 ? CV_16UC1 : CV_8UC1,
        const_cast<std::uint8_t*>(plane.data), // NOLINT: OpenCV has no read-only view
        static_cast<std::size_t>(plane.strideBytes));
    cv::Mat small;
    cv::resize(
        full, small, {plane.widthPx / factor, plane.heightPx / factor}, 0.0, 0.0, cv::INTER_AREA);
    cv::Mat values;
    small.convertTo(values, CV_32F);
    return values;
}

GreyView greyOf(const cv::Mat& values) { return {values.ptr<float>(), values.cols, values.rows}; }

} // namespace

struct ShiftFinder::Parts
{
    int widthPx;
    int heightPx;
    int factor;
    PatchSet coarse;
    PatchSet fine;

    [[nodiscard]] std::optional<FoundShift> findWithin(
        const PictureView& picture, const cv::Mat& small, int reach) const;
};

namespace {

std::vector<RectPx> reducedRects(std::vector<RectPx> rects, int factor)
{
    for (RectPx& rect : rects) {
        rect
            = {rect.x / factor, rect.y / factor, rect.width / factor + 2, rect.height / factor + 2};
    }
    return rects;
}

// Patches clear of lamps and panel; where those are too few, such as lie on the panel's outline.
PatchSet patchesOf(const GreyView& picture, int sizePx, std::size_t most, std::vector<RectPx> lamps,
    std::optional<RectPx> panel)
{
    if (!panel) {
        return {picture, sizePx, most, lamps};
    }
    lamps.push_back(grown(*panel, sizePx / 4));
    PatchSet clear(picture, sizePx, most, lamps);
    if (clear.size() >= most / 2) {
        return clear;
    }
    lamps.back() = grown(*panel, -sizePx);
    return {picture, sizePx, most, lamps};
}

} // namespace

ShiftFinder::ShiftFinder(
    const PictureView& reference, const std::vector<RectPx>& lamps, std::optional<RectPx> panel)
{
    std::vector<RectPx> glow;
    for (const RectPx& lamp : lamps) {
        glow.push_back(grown(lamp, std::max(lamp.width, lamp.height) / 2));
    }
    const int factor = std::max(1, (reference.widthPx() + reducedWidthPx / 2) / reducedWidthPx);
    const cv::Mat small = reduced(reference, factor);
    std::optional<RectPx> smallPanel;
    if (panel) {
        smallPanel = reducedRects({*panel}, factor).front();
    }
    PatchSet coarse = patchesOf(
        greyOf(small), reducedPatchPx, reducedPatches, reducedRects(glow, factor), smallPanel);
    constexpr int smallestPatchPx = 16;
    constexpr int largestPatchPx = 48;
    constexpr int patchesAcross = 27;
    const int size
        = std::clamp(reference.widthPx() / patchesAcross, smallestPatchPx, largestPatchPx);
    PatchSet fine = patchesOf(GreyView(reference), size, finePatches, glow, panel);
    m_parts = std::make_unique<const Parts>(Parts {
        reference.widthPx(), reference.heightPx(), factor, std::move(coarse), std::move(fine)});
}

ShiftFinder::~ShiftFinder() = default;

std::optional<FoundShift> ShiftFinder::Parts::findWithin(
    const PictureView& picture, const cv::Mat& small, int reach) const
{
    ShiftPx rough = coarse.search(greyOf(small), reach);
    if (const auto better = coarse.fit(greyOf(small), rough)) {
        rough = better->shift;
    }
    const auto found = fine.fit(GreyView(picture), {rough.x * factor, rough.y * factor});
    if (!found || found->standardErrorPx > worstErrorPx) {
        return std::nullopt;
    }
    return FoundShift {found->shift, found->standardErrorPx};
}

std::optional<FoundShift> ShiftFinder::find(const PictureView& picture) const
{
    if (picture.widthPx() != m_parts->widthPx || picture.heightPx() != m_parts->heightPx) {
        return std::nullopt;
    }
    const cv::Mat small = reduced(picture, m_parts->factor);
    if (auto found = m_parts->findWithin(picture, small, nearReach)) {
        return found;
    }
    return m_parts->findWithin(picture, small, farReach);
}

} // namespace twinlamp::trace

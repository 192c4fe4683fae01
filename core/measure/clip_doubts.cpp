// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/clip_doubts.h"

namespace twinlamp::measure {

namespace {

// Cameras for this work film at 240 frames/s and more (common practice, no source).
constexpr double slowestUsualMs = 1000.0 / 200.0;
// With fewer camera frames to a new picture the two steps of an answer run into each other. At two,
// 240 frames/s of a link of 120 pictures, the independent check's clips were good to 0.05 frame.
constexpr double fewestFramesPerPicture = 1.5;

// Two pixels share their colour sample, so a region can end one short of the border.
bool touchesBorder(RectPx panel, const ClipFacts& clip)
{
    return panel.x < 2 || panel.y < 2 || panel.x + panel.width > clip.widthPx - 2
        || panel.y + panel.height > clip.heightPx - 2;
}

} // namespace

bool hasFewFrames(double frameIntervalMs, std::optional<double> newFrameMs)
{
    return frameIntervalMs > slowestUsualMs
        || (newFrameMs && *newFrameMs < fewestFramesPerPicture * frameIntervalMs);
}

void flagClipDoubts(const ClipDoubts& doubts, std::vector<Press>& presses)
{
    const bool fewFrames = hasFewFrames(doubts.frameIntervalMs, doubts.newFrameMs);
    for (Press& press : presses) {
        if (!press.latency) {
            continue;
        }
        if (doubts.exposureUnknown) {
            addFlag(press.flags, Flag::ExposureUnknown);
        }
        if (doubts.rowSkewInside) {
            addFlag(press.flags, Flag::RowSkewInside);
        }
        if (fewFrames) {
            addFlag(press.flags, Flag::FewFrames);
        }
    }
}

void flagPartlyVisible(const RegionSet& regions, const ClipFacts& clip, std::vector<Press>& presses)
{
    if (!regions.panel || !touchesBorder(*regions.panel, clip)) {
        return;
    }
    for (Press& press : presses) {
        if (press.fullFrame) {
            addFlag(press.flags, Flag::FullVisiblePart);
        }
    }
}

} // namespace twinlamp::measure

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/frame_source.h"
#include "core/measure/block_map.h"
#include "core/measure/block_pulses.h"
#include "core/measure/clip_measurement.h"
#include "core/measure/lamp_outline.h"
#include "core/measure/lamp_search.h"
#include "core/measure/step_map.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <spdlog/fmt/fmt.h>

namespace twinlamp::measure {

using footage::ClipIndex;
using onset::CoarseEdge;

namespace {

// A stretch this long holds several presses; the next one is read only where it holds none.
constexpr std::int64_t stretchFrames = 3000;
constexpr std::int64_t firstStretchFrames = 1200;
constexpr std::size_t enoughEdges = 4;
constexpr double unsureBelow = 0.6;
// The picture of the lamp is whole after this many frames.
constexpr std::int64_t slowestPanelFrames = 12;

struct Found
{
    LampBlocks blocks;
    std::int64_t firstFrame = 0;
    bool isPulsed
        = false; ///< the panel's light comes in pulses: single pictures tell no step of it
};

JobResult<std::optional<Found>> findInStretches(const ClipIndex& index, const JobControl& control)
{
    std::optional<Found> best;
    std::int64_t first = 0;
    std::int64_t length = firstStretchFrames;
    while (first < index.frameCount()) {
        const std::int64_t last = std::min(index.frameCount(), first + length);
        auto map = readBlocks(index, {{first}, {last}}, control);
        if (!map.hasValue()) {
            return map.isCancelled() ? JobResult<std::optional<Found>>(Cancelled {})
                                     : JobResult<std::optional<Found>>(map.error());
        }
        BlockMap seen = std::move(map).value();
        const bool isPulsed = averagePulses(seen);
        if (auto blocks = searchLamps(seen)) {
            const bool isBetter
                = !best || blocks->referenceEdges.size() > best->blocks.referenceEdges.size();
            if (isBetter) {
                best = Found {std::move(*blocks), first, isPulsed};
            }
            if (best->blocks.referenceEdges.size() >= enoughEdges) {
                break;
            }
        }
        // Too few presses in the first stretch: read a longer one from the start, then go on.
        if (length == firstStretchFrames) {
            length = stretchFrames;
        } else {
            first += length;
        }
    }
    return best;
}

struct Refined
{
    RectPx reference;
    RectPx goggle;
};

Refined refine(const ClipIndex& index, const Found& found)
{
    Refined refined {found.blocks.reference, found.blocks.goggle};
    auto source = footage::FrameSource::open(std::make_shared<const ClipIndex>(index), {});
    if (!source) {
        return refined;
    }
    const auto& orientation = index.info.orientation;
    const RectPx picture {0, 0, orientation.storedWidthPx, orientation.storedHeightPx};
    const int margin = std::max(8, picture.width / 60);
    const RectPx lampArea = grown(found.blocks.reference, margin, picture);
    const RectPx goggleArea = grown(found.blocks.goggle, margin, picture);
    const auto lampSteps
        = pixelSteps(*source, found.blocks.referenceEdges, found.firstFrame, lampArea, 2, 1);
    // The lamp's glow belongs to it; the goggle lamp stands on a panel that its light spills over.
    refined.reference
        = grown(refinedRect(lampSteps, lampArea, found.blocks.reference, 0.25F), 2, picture);
    if (found.isPulsed) {
        return refined;
    }
    const std::int64_t settled
        = std::clamp<std::int64_t>(holdFrames(found.blocks.goggleEdges) / 2, 1, slowestPanelFrames);
    const auto goggleSteps = pixelSteps(
        *source, found.blocks.goggleEdges, found.firstFrame, goggleArea, settled, settled);
    refined.goggle = refinedRect(goggleSteps, goggleArea, found.blocks.goggle, 0.5F);
    return refined;
}

Error notLocated(const ClipIndex& index)
{
    return {Stage::Measure, Cause::NotLocated,
        fmt::format("{}: no pair of lamps was found in {} frames (one that switches, and a picture "
                    "of it that switches later); "
                    "draw the regions or give --reference X,Y,W,H and --goggle X,Y,W,H",
            index.info.file, index.frameCount())};
}

} // namespace

JobResult<LocatedRegions> locateRegions(const ClipIndex& index, const JobControl& control)
{
    auto searched = findInStretches(index, control);
    if (!searched.hasValue()) {
        return searched.isCancelled() ? JobResult<LocatedRegions>(Cancelled {})
                                      : JobResult<LocatedRegions>(searched.error());
    }
    const std::optional<Found> found = std::move(searched).value();
    if (!found) {
        return notLocated(index);
    }
    const Refined refined = refine(index, *found);
    const auto& orientation = index.info.orientation;
    const LampBlocks& blocks = found->blocks;
    LocatedRegions located;
    located.reference
        = {footage::toUpright(refined.reference, orientation), blocks.referenceConfidence};
    located.goggle = {footage::toUpright(refined.goggle, orientation), blocks.goggleConfidence};
    if (blocks.panel) {
        located.panel = LocatedRegion {
            footage::toUpright(*blocks.panel, orientation), blocks.panelConfidence};
    }
    for (const CoarseEdge& edge : blocks.referenceEdges) {
        if (located.seenIn.size() < refineEdges) {
            located.seenIn.push_back({found->firstFrame + static_cast<std::int64_t>(edge.frame)});
        }
    }
    const auto noteUnsure = [&](const char* name, double confidence) {
        if (confidence < unsureBelow) {
            located.notes.push_back({"located-unsure", {name, fmt::format("{:.2f}", confidence)}});
        }
    };
    noteUnsure("reference", blocks.referenceConfidence);
    noteUnsure("goggle", blocks.goggleConfidence);
    if (blocks.panel) {
        noteUnsure("panel", blocks.panelConfidence);
    }
    return located;
}

} // namespace twinlamp::measure

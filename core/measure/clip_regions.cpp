// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/clip_regions.h"

#include "core/measure/clip_measurement.h"
#include "core/measure/clip_setup.h"

#include <algorithm>
#include <cmath>
#include <spdlog/fmt/fmt.h>

namespace twinlamp::measure {

using footage::ClipIndex;

JobResult<DecidedRegions> decideRegions(const ClipIndex& index, const MeasureOptions& options,
    const JobControl& control, std::vector<Sentence>& notes)
{
    DecidedRegions decided;
    RegionSet& regions = decided.set;
    const bool lampsGiven = options.reference && options.goggle;
    const bool needsPanel = !options.panel && !options.panelCorners && !options.withoutPanel;
    std::optional<LocatedRegions> located;
    if (!lampsGiven || needsPanel) {
        auto found = locateRegions(index, control);
        if (found.isCancelled()) {
            return Cancelled {};
        }
        if (found.isError() && !lampsGiven) {
            return found.error();
        }
        if (found.hasValue()) {
            located = std::move(found).value();
        }
    }
    regions.source = lampsGiven ? RegionSource::Given : RegionSource::Located;
    regions.reference = options.reference ? *options.reference : located->reference.rect;
    regions.goggle = options.goggle ? *options.goggle : located->goggle.rect;
    if (options.panelCorners) {
        setPanelCorners(regions, *options.panelCorners);
    } else if (options.panel) {
        regions.panel = options.panel;
    } else if (needsPanel && located && located->panel) {
        regions.panel = located->panel->rect;
        decided.isPanelLocated = true;
    }
    if (located) {
        decided.seenIn = located->seenIn;
    }
    if (!lampsGiven && located) {
        std::ranges::move(located->notes, std::back_inserter(notes));
    }
    if (!regions.panel) {
        notes.push_back({"panel-not-given", {}});
    }
    return decided;
}

std::optional<Error> regionProblem(const ClipIndex& index, const RegionSet& regions)
{
    for (const auto& [rect, name] : {std::pair {std::optional(regions.reference), "reference"},
             {std::optional(regions.goggle), "goggle"}, {regions.panel, "panel"}}) {
        if (rect) {
            if (const auto checked = checkedRegion(index, *rect, name); !checked) {
                return checked.error();
            }
        }
    }
    const auto unfit = regions.panelCorners ? quadProblem(*regions.panelCorners) : std::nullopt;
    if (unfit) {
        return Error {Stage::Measure, Cause::InvalidValue,
            fmt::format("{}: the panel's corners {} {}", index.info.file,
                toText(*regions.panelCorners), *unfit)};
    }
    const RectPx shared = intersection(regions.reference, regions.goggle);
    const auto smaller = std::min(regions.reference.areaPx(), regions.goggle.areaPx());
    // Corners may touch; but two regions that share most of one show one lamp.
    if (2 * shared.areaPx() > smaller) {
        return Error {Stage::Measure, Cause::InvalidValue,
            fmt::format("{}: the reference and the goggle region lie on each other and would show "
                        "the same lamp; give each its own with --reference and --goggle",
                index.info.file)};
    }
    return std::nullopt;
}

// Given regions are those of the clip's first picture, which the shake counts from; located ones
// are moved back there.
void moveToFirstPicture(const ClipIndex& index, trace::ShiftPx shift, DecidedRegions& decided)
{
    const auto& orientation = index.info.orientation;
    const auto moveBack = [&](RectPx& upright) {
        RectPx stored = footage::toStored(upright, orientation);
        stored.x = std::clamp(stored.x - static_cast<int>(std::lround(shift.x)), 0,
            orientation.storedWidthPx - stored.width);
        stored.y = std::clamp(stored.y - static_cast<int>(std::lround(shift.y)), 0,
            orientation.storedHeightPx - stored.height);
        upright = footage::toUpright(stored, orientation);
    };
    if (decided.set.source == RegionSource::Located) {
        moveBack(decided.set.reference);
        moveBack(decided.set.goggle);
    }
    if (decided.isPanelLocated) {
        moveBack(*decided.set.panel);
    }
}

} // namespace twinlamp::measure

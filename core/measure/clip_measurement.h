// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/base/job_control.h"
#include "core/base/measure_options.h"
#include "core/base/result.h"
#include "core/footage/frame_index.h"

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>

namespace twinlamp::measure {

/// What the scan of a clip leaves behind, so that a moved region decodes and reads only what it
/// must, and a full scan after a sparse one only the frames that were left out (filling in).
/// Opaque; hand it to the next measurement of the same clip.
struct ScanMemory;

/// What the light of a memory takes, bytes; without the light map, which whole scans alone have.
[[nodiscard]] std::int64_t memoryBytes(const ScanMemory& memory);

/// Hears of the work while it runs; called from worker threads, one call at a time.
struct MeasureObserver
{
    /// Regions are known (given or located).
    std::function<void(const RegionSet&)> onRegions;
    /// Traces over the frames [0, traces.frameCount()) that are complete so far, and the presses
    /// found in them: provisional until the result. About ten times a second.
    std::function<void(const ClipTraces&, const std::vector<Press>&)> onProgress;
    /// A full scan was stopped: the memory to go on from. Called before the measurement returns,
    /// for a filling-in and for a scan from nothing; such a scan then tells no progress of its
    /// traces.
    std::function<void(std::shared_ptr<const ScanMemory>)> onLeft;
};

/// The coarse light map of a clip: what a second look at it may rest on. Not one of the
/// MeasureOptions, which are kept with the clip: whether a look is a quick one is a matter of the
/// occasion.
struct LightMapUse
{
    bool keep = false; ///< fill a map while every frame is scanned
    std::filesystem::path folder; ///< where it is kept with the scan; empty: in memory alone
    /// What an earlier scan left serves without decoding: where regions were moved by its light
    /// map, wherever that suffices, and the result says so; else all is exact, as without.
    bool lookAgain = false;
};

/// $XDG_CACHE_HOME/twinlamp/map or its default. Empty path: no cache.
[[nodiscard]] std::filesystem::path defaultMapFolder();

struct Measurement
{
    ClipResult result;
    std::shared_ptr<const ScanMemory> memory;
};

/// One clip's whole way: index, clock, regions, scan, edges, pairing, panel, uncertainty.
/// Everything that commands and the window show of a clip comes from here.
///
/// @param previous  memory of an earlier measurement of the same clip, or null
/// @param map       the result is exact, and the same whatever is kept, without `lookAgain`
/// @error Footage/…           the clip cannot be read
/// @error Measure/NeedsCaptureRate  neither given nor in the file
/// @error Measure/InvalidValue      a region or an option out of its bounds
/// @error Measure/NotLocated        regions not given and not found
/// A clip without a press is no error: the result then holds none.
[[nodiscard]] JobResult<Measurement> measureClip(const std::filesystem::path& clip,
    const MeasureOptions& options, const JobControl& control, const MeasureObserver& observer = {},
    const std::shared_ptr<const ScanMemory>& previous = nullptr, const LightMapUse& map = {});

/// A proposed region and how sure the proposal is, 0 to 1.
struct LocatedRegion
{
    RectPx rect;
    double confidence = 0.0;
};

struct LocatedRegions
{
    LocatedRegion reference;
    LocatedRegion goggle;
    std::optional<LocatedRegion> panel;
    std::vector<FrameIndex> seenIn; ///< pictures in which the lamps' places were read
    std::vector<Sentence> notes;
};

/// Proposes the regions from the footage alone: the reference lamp switches early and sharply, the
/// goggle lamp later and inside a larger area that refreshes.
/// @error Footage/… ; Measure/NotLocated
[[nodiscard]] JobResult<LocatedRegions> locateRegions(
    const footage::ClipIndex& index, const JobControl& control);

} // namespace twinlamp::measure

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/frame_index.h"
#include "core/measure/clip_measurement.h"
#include "core/measure/region_scan.h"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace twinlamp::measure {

/// What options said of the regions, and what came of it.
struct SettledRegions
{
    MeasureOptions asked;
    RegionSet set; ///< of the upright picture
    std::vector<Sentence> notes;
};

/// What a scan has read of a clip, for the next look at it: whole, or, where `scan` is not
/// complete, of the frames that `scan.decoded` names. It tells of the clip as it was: see
/// isSameClip().
struct ScanMemory
{
    std::string file;
    std::int64_t sizeBytes = 0;
    std::int64_t modifiedNs = 0;
    std::string sha256;
    RegionRequest regions;
    RegionScan scan;
    std::optional<SettledRegions> settled = {}; ///< not kept in files
    double seconds = 0.0; ///< that the scan took
};

/// Of a scan that has read nothing yet: to be filled in.
[[nodiscard]] ScanMemory blankMemory(
    const footage::ClipIndex& index, const RegionRequest& regions, SettledRegions settled);

[[nodiscard]] bool isSameClip(const ScanMemory& memory, const footage::ClipIndex& index);

[[nodiscard]] bool sameRegions(const RegionRequest& a, const RegionRequest& b);

/// Whether these options leave the regions where they were: then nothing is looked for again.
[[nodiscard]] bool settlesTheSame(const SettledRegions& settled, const MeasureOptions& options);

/// Whether all that is wanted was read in a part of the frames: the others are enough then.
[[nodiscard]] bool canBeFilledIn(const ScanMemory& memory, const RegionRequest& wanted);

/// Regions that the memory holds already need not be read again. How a picture that shakes is
/// followed depends on all regions: then everything is read anew, as it is where frames are
/// missing.
[[nodiscard]] RegionRequest whatIsMissing(const RegionRequest& wanted, const ScanMemory* memory);

/// What `scanned` left out.
void takeFromMemory(const RegionRequest& scanned, const ScanMemory& memory, RegionLight& light);

} // namespace twinlamp::measure

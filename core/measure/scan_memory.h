// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/frame_index.h"
#include "core/measure/clip_measurement.h"
#include "core/measure/region_scan.h"

#include <cstdint>
#include <string>

namespace twinlamp::measure {

struct ScanMemory
{
    std::string file;
    std::int64_t sizeBytes = 0;
    std::int64_t modifiedNs = 0;
    std::string sha256;
    RegionRequest regions;
    RegionScan scan;
};

[[nodiscard]] bool isSameClip(const ScanMemory& memory, const footage::ClipIndex& index);

[[nodiscard]] bool sameRegions(const RegionRequest& a, const RegionRequest& b);

/// Regions that the memory holds already need not be read again. How a picture that shakes is
/// followed depends on all regions: then everything is read anew, as it is where frames are
/// missing.
[[nodiscard]] RegionRequest whatIsMissing(const RegionRequest& wanted, const ScanMemory* memory);

/// What `scanned` left out.
void takeFromMemory(const RegionRequest& scanned, const ScanMemory& memory, RegionLight& light);

} // namespace twinlamp::measure

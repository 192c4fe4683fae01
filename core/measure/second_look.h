// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/region_scan.h"

#include <optional>
#include <string>
#include <vector>

namespace twinlamp::measure {

struct ScanMemory;

/// A scan that decoded nothing.
struct SecondLook
{
    RegionScan scan;
    std::vector<std::string> fromMap; ///< regions whose light rests on the coarse light map
};

/// Light of all regions from what an earlier scan left: the same to the bit for regions that stand
/// where they stood, from its light map for those that were moved.
///
/// @return nothing where the map does not suffice for one of them (see lampFromMap(),
/// panelFromMap()), where the scan left frames out or followed the camera, under another transfer,
/// or where nothing was moved
/// Tests: tests/core/measure/second_look_test.cpp
[[nodiscard]] std::optional<SecondLook> secondLook(
    const RegionRequest& wanted, const ScanMemory& memory);

} // namespace twinlamp::measure

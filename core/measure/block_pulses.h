// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/block_map.h"

namespace twinlamp::measure {

/// Takes the pulses of a strobed or dimmed panel out of its blocks, so that lamps can be looked for
/// in them: each block that pulses becomes its running mean over a period, centred, so that edges
/// stay where they are. Blocks that do not pulse, the reference lamp's among them, are kept to the
/// bit, and so is a map in which no rhythm stands out.
/// @return whether pulses were taken out
/// Tests: tests/core/measure/block_pulses_test.cpp
bool averagePulses(BlockMap& map);

} // namespace twinlamp::measure

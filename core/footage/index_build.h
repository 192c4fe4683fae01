// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/decoder.h"
#include "core/footage/frame_index.h"
#include "core/footage/packet_table.h"

namespace twinlamp::footage {

/// Index of an open clip from its packets alone. @pre every shown packet has a time stamp
[[nodiscard]] ClipIndex indexFromPackets(const PacketTable& table, ClipInfo info);

/// True where packets alone do not tell which frames are shown, or when.
[[nodiscard]] bool needsDecoding(const OpenClip& open, const PacketTable& table);

/// Index by decoding every packet once: for containers without presentation stamps. `open` is at
/// its first packet; progress in bytes.
[[nodiscard]] JobResult<ClipIndex> indexByDecoding(OpenClip open, const PacketTable& table,
    ClipInfo info, const std::filesystem::path& clip, const JobControl& control);

/// Fills `keyframes` from the entries: those from which every later frame can be decoded.
/// `hiddenStart`: a keyframe before the first shown frame lets decoding start at frame 0.
void fillKeyframes(ClipIndex& index, bool hiddenStart);

} // namespace twinlamp::footage

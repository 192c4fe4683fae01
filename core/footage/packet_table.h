// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/job_control.h"
#include "core/base/result.h"
#include "core/footage/clip_open.h"

#include <cstdint>
#include <vector>

namespace twinlamp::footage {

/// One packet of the video stream, as the demuxer hands it out. Stamps in ticks, or AV_NOPTS_VALUE.
struct PacketRecord
{
    std::int64_t pts = AV_NOPTS_VALUE;
    std::int64_t dts = AV_NOPTS_VALUE;
    std::int64_t positionBytes = -1;
    bool keyframe = false;
    bool hidden = false; ///< an edit list hides its picture
};

/// All packets of a clip's video stream, in decode order.
struct PacketTable
{
    std::vector<PacketRecord> packets;
    int cutOff = 0; ///< packets at the end that are not whole
    bool restamped = false; ///< stamps are not those that the demuxer gives: know packets by place
    bool readStopped = false; ///< reading ended on an error, not at the end of the file
};

/// Reads every packet, decodes nothing. Progress in bytes.
/// @error Footage/SizeChanges where a keyframe announces another picture size
[[nodiscard]] JobResult<PacketTable> readPackets(
    OpenClip& open, const std::filesystem::path& clip, const JobControl& control);

} // namespace twinlamp::footage

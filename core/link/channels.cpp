// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/link/channels.h"

#include <cmath>

namespace twinlamp::link {

const std::array<RaceChannel, 8>& raceChannels()
{
    static constexpr std::array<RaceChannel, 8> channels {
        {{"R1", 5658.0}, {"R2", 5695.0}, {"R3", 5732.0}, {"R4", 5769.0}, {"R5", 5806.0},
            {"R6", 5843.0}, {"R7", 5880.0}, {"R8", 5917.0}}};
    return channels;
}

double overlapMhz(const RaceChannel& one, const RaceChannel& other, double channelWidthMhz)
{
    return channelWidthMhz - std::abs(one.centreMhz - other.centreMhz);
}

} // namespace twinlamp::link

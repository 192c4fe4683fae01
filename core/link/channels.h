// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <string_view>

namespace twinlamp::link {

/// One channel of the race band.
struct RaceChannel
{
    std::string_view name; ///< R1 to R8
    double centreMhz = 0.0;
    bool operator==(const RaceChannel&) const = default;
};

/// The eight race channels, 37 MHz apart. Which of them, and at what power, may be used differs
/// from country to country: the local radio rules decide.
///
/// Source: public frequency tables, not opened
/// Tests:  tests/core/link/channels_test.cpp
[[nodiscard]] const std::array<RaceChannel, 8>& raceChannels();

/// By how much two signals of this width overlap, MHz; below 0: the gap between them.
[[nodiscard]] double overlapMhz(
    const RaceChannel& one, const RaceChannel& other, double channelWidthMhz);

} // namespace twinlamp::link

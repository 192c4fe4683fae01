// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"
#include "core/base/sentence.h"

#include <cstdint>
#include <optional>
#include <vector>

namespace twinlamp::link {

struct PictureSize
{
    double widthPx = 0.0;
    double heightPx = 0.0;
    bool operator==(const PictureSize&) const = default;
};

/// A link that sends each frame as packets and repeats the lost ones: a model of retransmission in
/// general, not of one radio.
struct LinkModel
{
    double bitRateMbit = 0.0; ///< of the video, Mbit/s, > 0
    double frameRateHz = 0.0; ///< > 0
    std::optional<PictureSize> picture;
    /// Rate at which packets go over the air, Mbit/s. Without it: from the channel width; without
    /// that the bit rate, so that a frame takes its whole interval to send.
    std::optional<double> airRateMbit;
    std::optional<double> channelWidthMhz;
    double efficiencyBitPerHz = 2.0; ///< bit/s per Hz of channel width, > 0
    double packetBytes = 1500.0; ///< >= 1
    double loss = 0.0; ///< share of packets lost at each try, independent; 0 to 1, 1 excluded
    /// What one repeat costs, ms, > 0: from a packet's loss to its repeated arrival. Without it
    /// nothing is repeated.
    std::optional<double> roundTripMs;
    /// Time that repeats of one frame may take, ms, >= 0. Without it: the slack.
    std::optional<double> allowanceMs;
    bool operator==(const LinkModel&) const = default;
};

struct LinkFigures
{
    double bitsPerFrame = 0.0;
    std::optional<double> bitsPerPixel;
    double airRateMbit = 0.0; ///< that was used
    double frameIntervalMs = 0.0;
    double sendMs = 0.0; ///< every packet of a frame once
    double slackMs = 0.0; ///< of the frame interval; below 0: frames come faster than they go out
    std::int64_t packets = 0; ///< of a frame
    std::int64_t repeatsInAllowance = 0;
    /// Mean share of the frame interval that is on the air, repeats included; over 1: the link
    /// cannot keep up.
    double airShare = 0.0;
    double meanTries = 1.0; ///< of a packet
    /// Share of frames of which a packet is missing when the allowance is over: 1 - (1 - loss^(m +
    /// 1))^packets with m repeats. 1 where frames come faster than they go out.
    double lateShare = 0.0;
    std::vector<Sentence> assumptions;
    bool operator==(const LinkFigures&) const = default;
};

/// Most packets a frame may have, and most repeats that are counted.
inline constexpr std::int64_t mostPackets = 1'000'000;
inline constexpr std::int64_t mostRepeats = 1'000'000;

/// What a link setting leaves room for.
///
/// Losses are independent from packet to packet and from try to try; repeats of one frame run side
/// by side, each round of them taking a round trip. Real links lose packets in bursts, so late
/// frames are rather more than less.
///
/// @error  Link/InvalidValue  a value out of its bounds, in a sentence
/// Source: geometric tries until success; measurement arithmetic of the test file.
/// Tests:  tests/core/link/airtime_test.cpp
[[nodiscard]] Result<LinkFigures> linkFigures(const LinkModel& model);

/// P(all packets of a frame have arrived within so many rounds) = (1 - loss^rounds)^packets.
/// @pre rounds >= 0, packets >= 0, 0 <= loss < 1
[[nodiscard]] double doneWithin(std::int64_t rounds, std::int64_t packets, double loss);

/// Mean rounds until all packets have arrived: sum over j >= 0 of 1 - (1 - loss^j)^packets.
/// @pre as doneWithin
[[nodiscard]] double meanRounds(std::int64_t packets, double loss);

} // namespace twinlamp::link

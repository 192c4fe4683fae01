// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace twinlamp::link {

/// @pre milliwatt > 0
[[nodiscard]] double dbmOf(double milliwatt);
[[nodiscard]] double milliwattOf(double dbm);

/// Between two antennas in the open.
struct Path
{
    double frequencyMhz = 5800.0; ///< > 0
    double distanceKm = 1.0; ///< > 0
};

/// Free-space basic transmission loss between isotropic antennas, dB: 20 log10(4 pi d / lambda),
/// the formula that ITU-R P.525 states as 32.4 + 20 log10 f + 20 log10 d (f in MHz, d in km); its
/// printed constant is 0.048 dB below the exact one that is used here. Nothing in the way, nothing
/// reflected, far field: a bench or an indoor course is none of that.
/// @pre both > 0
/// Source: Recommendation ITU-R P.525 (2nd hand).
/// Tests:  tests/core/link/radio_test.cpp
[[nodiscard]] double freeSpaceLossDb(const Path& path);

/// mm; 299792458 m/s over the frequency. @pre frequencyMhz > 0
[[nodiscard]] double wavelengthMm(double frequencyMhz);

/// Both antennas together with the transmitter.
struct Transmission
{
    double powerDbm = 0.0;
    double antennaGainsDbi = 0.0; ///< sum of both ends
};

/// Power at the receiver in free space, dBm.
[[nodiscard]] double receivedDbm(const Transmission& transmission, const Path& path);

/// Thermal noise k T B at 290 K, dBm. @pre channelWidthMhz > 0
[[nodiscard]] double thermalNoiseDbm(double channelWidthMhz);

/// How the share of lost packets falls with the margin of received power over what the receiver
/// needs. A shape for what-if questions, not a property of any radio: 1 / (1 + exp((margin -
/// halfLostDb) / softnessDb)).
struct LossCurve
{
    double halfLostDb = 0.0; ///< margin at which half of the packets are lost
    double softnessDb = 1.0; ///< > 0; 2.2 of these take the loss from a half to a tenth
};

/// Share of packets lost at that margin, 0 to 1.
/// @pre curve.softnessDb > 0
[[nodiscard]] double packetLoss(double marginDb, const LossCurve& curve);

/// What decides how much of a signal is left, for what-if questions: output power, distance,
/// channel width.
struct RadioLink
{
    Transmission transmission;
    Path path;
    double channelWidthMhz = 20.0; ///< > 0
    double noiseFigureDb = 6.0; ///< of the receiver, over thermal noise
    double neededSnrDb = 15.0; ///< signal over noise at which the margin is 0
    LossCurve curve;
};

/// Received power less what the receiver needs, dB: over thermal noise, noise figure and needed
/// signal-to-noise ratio. Doubling the channel width costs 3 dB of it, doubling the distance 6 dB.
/// @pre as freeSpaceLossDb and thermalNoiseDbm
[[nodiscard]] double marginDb(const RadioLink& radio);

/// Share of packets that such a link loses, a trifle below 1 at most: some packets arrive.
/// @pre as marginDb and packetLoss
[[nodiscard]] double lossOf(const RadioLink& radio);

/// Share of packets lost when each bit errs on its own: 1 - (1 - rate)^bits.
/// @pre 0 <= bitErrorRate < 1, bits >= 0
[[nodiscard]] double packetLossOfBitErrors(double bitErrorRate, double bits);

} // namespace twinlamp::link

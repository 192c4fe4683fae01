// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/link/radio.h"

#include "core/base/contracts.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace twinlamp::link {

namespace {

constexpr double lightSpeed = 299'792'458.0; ///< m/s, exact
constexpr double boltzmann = 1.380649e-23; ///< J/K, exact
constexpr double roomKelvin = 290.0; ///< the radio trade's reference temperature

double decibel(double ratio) { return 10.0 * std::log10(ratio); }

} // namespace

double dbmOf(double milliwatt)
{
    TL_EXPECTS(milliwatt > 0.0);
    return decibel(milliwatt);
}

double milliwattOf(double dbm) { return std::pow(10.0, dbm / 10.0); }

double freeSpaceLossDb(const Path& path)
{
    TL_EXPECTS(path.frequencyMhz > 0.0 && path.distanceKm > 0.0);
    const double distanceMm = path.distanceKm * 1e6;
    return 2.0 * decibel(4.0 * std::numbers::pi * distanceMm / wavelengthMm(path.frequencyMhz));
}

double wavelengthMm(double frequencyMhz)
{
    TL_EXPECTS(frequencyMhz > 0.0);
    return lightSpeed / frequencyMhz / 1e3;
}

double receivedDbm(const Transmission& transmission, const Path& path)
{
    return transmission.powerDbm + transmission.antennaGainsDbi - freeSpaceLossDb(path);
}

double thermalNoiseDbm(double channelWidthMhz)
{
    TL_EXPECTS(channelWidthMhz > 0.0);
    constexpr double milliwattsAWatt = 1e3;
    return decibel(boltzmann * roomKelvin * channelWidthMhz * 1e6 * milliwattsAWatt);
}

double packetLoss(double marginDb, const LossCurve& curve)
{
    TL_EXPECTS(curve.softnessDb > 0.0);
    return 1.0 / (1.0 + std::exp((marginDb - curve.halfLostDb) / curve.softnessDb));
}

double marginDb(const RadioLink& radio)
{
    return receivedDbm(radio.transmission, radio.path) - thermalNoiseDbm(radio.channelWidthMhz)
        - radio.noiseFigureDb - radio.neededSnrDb;
}

double lossOf(const RadioLink& radio)
{
    constexpr double most = 0.999999; // a model of repeats wants some packets to arrive
    return std::min(most, packetLoss(marginDb(radio), radio.curve));
}

double packetLossOfBitErrors(double bitErrorRate, double bits)
{
    TL_EXPECTS(bitErrorRate >= 0.0 && bitErrorRate < 1.0 && bits >= 0.0);
    return -std::expm1(bits * std::log1p(-bitErrorRate));
}

} // namespace twinlamp::link

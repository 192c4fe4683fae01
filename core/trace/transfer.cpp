// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/transfer.h"

#include "core/base/measure_options.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::trace {

using measure::TransferCurve;

namespace {

// Code points of ITU-T H.273 that no option names.
constexpr int smpte240 = 7;

constexpr int codeOf(TransferCurve curve) { return static_cast<int>(curve); }

// A straight foot of slope `slope` up to `knee`, then (1 + a) l^p - a: the shape of BT.709, sRGB
// and 240M.
struct FootedPower
{
    double alpha;
    double beta;
    double slope;
    double power;

    [[nodiscard]] double light(double v) const
    {
        return v < slope * beta ? v / slope : std::pow((v + alpha - 1.0) / alpha, 1.0 / power);
    }

    [[nodiscard]] double code(double l) const
    {
        return l < beta ? slope * l : alpha * std::pow(l, power) - (alpha - 1.0);
    }
};

// Continuous in value and slope; the printed 1.099 and 0.018 are these, rounded.
constexpr FootedPower bt709 {1.09929682680944, 0.018053968510807, 4.5, 0.45};
constexpr FootedPower srgb {1.055010718947587, 0.003041282560128, 12.92, 1.0 / 2.4};
// From memory: SMPTE 240M has the same form with these constants.
constexpr FootedPower smpte240M {1.111572195921731, 0.022821585529445, 4.0, 0.45};

double signedPower(double base, double exponent)
{
    return base < 0.0 ? -std::pow(-base, exponent) : std::pow(base, exponent);
}

constexpr double pqM = 2523.0 / 32.0;
constexpr double pqN = 2610.0 / 16384.0;
constexpr double pqC1 = 107.0 / 128.0;
constexpr double pqC2 = 2413.0 / 128.0;
constexpr double pqC3 = 2392.0 / 128.0;

double pqLight(double v)
{
    const double root = std::pow(std::max(v, 0.0), 1.0 / pqM);
    return std::pow(std::max(root - pqC1, 0.0) / (pqC2 - pqC3 * root), 1.0 / pqN);
}

double pqCode(double light)
{
    const double y = std::pow(std::max(light, 0.0), pqN);
    return std::pow((pqC1 + pqC2 * y) / (1.0 + pqC3 * y), pqM);
}

constexpr double hlgA = 0.17883277;
constexpr double hlgB = 0.28466892;
constexpr double hlgC = 0.55991073;

double hlgLight(double v)
{
    if (v <= 0.5) {
        return v < 0.0 ? 0.0 : v * v / 3.0;
    }
    return (std::exp((v - hlgC) / hlgA) + hlgB) / 12.0;
}

double hlgCode(double light)
{
    if (light <= 1.0 / 12.0) {
        return std::sqrt(3.0 * std::max(light, 0.0));
    }
    return hlgA * std::log(12.0 * light - hlgB) + hlgC;
}

} // namespace

double linearLight(int transfer, double v)
{
    switch (transfer) {
    case codeOf(TransferCurve::Gamma22):
        return signedPower(v, 2.2);
    case codeOf(TransferCurve::Gamma28):
        return signedPower(v, 2.8);
    case smpte240:
        return smpte240M.light(v);
    case codeOf(TransferCurve::Linear):
        return v;
    case codeOf(TransferCurve::Srgb):
        return srgb.light(v);
    case codeOf(TransferCurve::Pq):
        return pqLight(v);
    case codeOf(TransferCurve::Hlg):
        return hlgLight(v);
    default:
        return bt709.light(v);
    }
}

double codeValue(int transfer, double light)
{
    switch (transfer) {
    case codeOf(TransferCurve::Gamma22):
        return signedPower(light, 1.0 / 2.2);
    case codeOf(TransferCurve::Gamma28):
        return signedPower(light, 1.0 / 2.8);
    case smpte240:
        return smpte240M.code(light);
    case codeOf(TransferCurve::Linear):
        return light;
    case codeOf(TransferCurve::Srgb):
        return srgb.code(light);
    case codeOf(TransferCurve::Pq):
        return pqCode(light);
    case codeOf(TransferCurve::Hlg):
        return hlgCode(light);
    default:
        return bt709.code(light);
    }
}

LumaWeights matrixWeights(int matrix)
{
    switch (matrix) {
    case 4:
        return {0.30, 0.11};
    case 5:
    case 6:
        return {0.299, 0.114};
    case 7:
        return {0.212, 0.087};
    case 9:
    case 10:
        return {0.2627, 0.0593};
    default:
        return {};
    }
}

std::array<double, 3> luminanceWeights(int primaries)
{
    switch (primaries) {
    case 9:
        return {0.2627, 0.6780, 0.0593};
    case 5: // BT.601 625 lines, from memory: luminance row of its RGB to XYZ matrix
        return {0.2220, 0.7067, 0.0713};
    case 6: // BT.601 525 lines, from memory
        return {0.2124, 0.7011, 0.0866};
    case 11: // DCI P3, from memory
        return {0.2095, 0.7216, 0.0689};
    case 12: // P3 D65, from memory
        return {0.2290, 0.6917, 0.0793};
    default:
        return {0.2126, 0.7152, 0.0722};
    }
}

} // namespace twinlamp::trace

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/transfer.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::film {

namespace {

double bt709(double light)
{
    constexpr double alpha = 1.09929682680944294;
    constexpr double beta = 0.01805396851080781;
    return light < beta ? 4.5 * light : alpha * std::pow(light, 0.45) - (alpha - 1.0);
}

double srgb(double light)
{
    constexpr double alpha = 1.05501071894758660;
    constexpr double beta = 0.00304128256012753;
    return light < beta ? 12.92 * light : alpha * std::pow(light, 1.0 / 2.4) - (alpha - 1.0);
}

double hlg(double light)
{
    constexpr double a = 0.17883277;
    constexpr double b = 0.28466892;
    constexpr double c = 0.55991073;
    return light <= 1.0 / 12.0 ? std::sqrt(3.0 * light) : a * std::log(12.0 * light - b) + c;
}

double pq(double candela)
{
    constexpr double c1 = 107.0 / 128.0;
    constexpr double c2 = 2413.0 / 128.0;
    constexpr double c3 = 2392.0 / 128.0;
    constexpr double m = 2523.0 / 32.0;
    constexpr double n = 2610.0 / 16384.0;
    const double y = std::pow(candela / 10000.0, n);
    return std::pow((c1 + c2 * y) / (1.0 + c3 * y), m);
}

} // namespace

double codeLevel(Transfer transfer, double light, double pqPeak)
{
    switch (transfer) {
    case Transfer::Bt709:
        return bt709(light);
    case Transfer::Srgb:
        return srgb(light);
    case Transfer::Gamma22:
        return std::pow(light, 1.0 / 2.2);
    case Transfer::Gamma28:
        return std::pow(light, 1.0 / 2.8);
    case Transfer::Hlg:
        return hlg(light);
    case Transfer::Pq:
        return pq(light * pqPeak);
    }
    return light;
}

ColourCodes colourCodes(Transfer transfer, Matrix matrix)
{
    ColourCodes codes {1, 1, 1};
    switch (transfer) {
    case Transfer::Bt709:
        codes.transfer = matrix == Matrix::Bt601 ? 6 : 1;
        break;
    case Transfer::Srgb:
        codes.transfer = 13;
        break;
    case Transfer::Gamma22:
        codes.transfer = 4;
        break;
    case Transfer::Gamma28:
        codes.transfer = 5;
        break;
    case Transfer::Hlg:
        codes.transfer = 18;
        break;
    case Transfer::Pq:
        codes.transfer = 16;
        break;
    }
    if (matrix == Matrix::Bt601) {
        codes.primaries = 6;
        codes.matrix = 6;
    } else if (matrix == Matrix::Bt2020) {
        codes.primaries = 9;
        codes.matrix = 9;
    }
    return codes;
}

LumaWeights lumaWeights(Matrix matrix)
{
    switch (matrix) {
    case Matrix::Bt601:
        return {0.299, 0.114};
    case Matrix::Bt2020:
        return {0.2627, 0.0593};
    case Matrix::Bt709:
        break;
    }
    return {0.2126, 0.0722};
}

CodeRange codeRange(int bitDepth, bool fullRange)
{
    const double unit = std::ldexp(1.0, bitDepth - 8);
    const int largest = (1 << bitDepth) - 1;
    if (fullRange) {
        return {
            static_cast<double>(largest), 0.0, static_cast<double>(largest), 128.0 * unit, largest};
    }
    return {219.0 * unit, 16.0 * unit, 224.0 * unit, 128.0 * unit, largest};
}

LevelTable::LevelTable(const Camera& camera, double clip)
{
    const CodeRange range = codeRange(camera.bitDepth, camera.fullRange);
    for (int i = 0; i <= steps(); ++i) {
        const double level = codeLevel(camera.transfer, clip * i / steps(), camera.pqPeak);
        m_levels.push_back(static_cast<float>(level));
        const double code = std::round(range.lumaScale * level + range.lumaOffset);
        m_greyCodes.push_back(
            static_cast<std::uint16_t>(std::clamp(code, 0.0, static_cast<double>(range.largest))));
    }
}

} // namespace twinlamp::film

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/mains.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <vector>

namespace twinlamp::measure {

namespace {

constexpr double longestMs = 4000.0;
constexpr double shortestMs = 200.0;
constexpr double slowMs = 100.0;

struct Samples
{
    std::vector<double> ms;
    std::vector<double> light;
    double energy = 0.0;
};

// What is slower than a tenth of a second is taken out, block by block.
Samples quickPart(std::span<const double> startMs, std::span<const double> light)
{
    Samples samples;
    std::size_t first = 0;
    while (first < light.size() && startMs[first] - startMs[0] < longestMs) {
        std::size_t last = first;
        double sum = 0.0;
        double count = 0.0;
        while (last < light.size() && startMs[last] - startMs[first] < slowMs) {
            if (std::isfinite(light[last])) {
                sum += light[last];
                count += 1.0;
            }
            ++last;
        }
        for (std::size_t k = first; k < last; ++k) {
            if (std::isfinite(light[k])) {
                samples.ms.push_back(startMs[k]);
                samples.light.push_back(light[k] - sum / count);
                samples.energy += samples.light.back() * samples.light.back();
            }
        }
        first = std::max(last, first + 1);
    }
    return samples;
}

// Energy of a wave at `hz`: its least-squares fit, both phases.
double energyAt(const Samples& samples, double hz)
{
    double cc = 0.0;
    double cs = 0.0;
    double ss = 0.0;
    double lc = 0.0;
    double ls = 0.0;
    for (std::size_t k = 0; k < samples.ms.size(); ++k) {
        const double angle = 2.0 * std::numbers::pi * hz * 1e-3 * samples.ms[k];
        const double c = std::cos(angle);
        const double s = std::sin(angle);
        cc += c * c;
        cs += c * s;
        ss += s * s;
        lc += samples.light[k] * c;
        ls += samples.light[k] * s;
    }
    const double determinant = cc * ss - cs * cs;
    // At half the capture rate only one of the two phases is seen.
    if (determinant < 1e-6 * cc * cc || determinant < 1e-6 * ss * ss) {
        return std::max(cc > 0.0 ? lc * lc / cc : 0.0, ss > 0.0 ? ls * ls / ss : 0.0);
    }
    return (ss * lc * lc - 2.0 * cs * lc * ls + cc * ls * ls) / determinant;
}

} // namespace

std::optional<double> mainsFlickerHz(std::span<const double> startMs, std::span<const double> light)
{
    if (light.size() < 2 || startMs.back() - startMs.front() < shortestMs) {
        return std::nullopt;
    }
    const Samples samples = quickPart(startMs, light);
    const double lengthMs = std::min(longestMs, startMs.back() - startMs.front());
    const double step = 0.25e3 / lengthMs;
    constexpr double tolerance = 0.01;
    constexpr double explained = 0.5;
    std::optional<double> best;
    double bestEnergy = explained * samples.energy;
    for (const double nominal : std::array {100.0, 120.0}) {
        const auto steps = static_cast<int>(2.0 * tolerance * nominal / step);
        for (int i = 0; i <= steps; ++i) {
            const double hz = (1.0 - tolerance) * nominal + i * step;
            const double energy = energyAt(samples, hz) + energyAt(samples, 2.0 * hz);
            if (energy > bestEnergy) {
                bestEnergy = energy;
                best = nominal;
            }
        }
    }
    return best;
}

} // namespace twinlamp::measure

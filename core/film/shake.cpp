// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/shake.h"

#include "core/film/random.h"

#include <cmath>
#include <numbers>

namespace twinlamp::film {

ShakeMotion::ShakeMotion(const Scene& scene)
    // Each of n waves of height h adds h^2 / 2 to the variance.
    : m_amplitude(scene.camera.shake.amplitudePx * std::sqrt(2.0 / waveCount))
{
    Random random(scene.seed, Stream::Shake);
    const Shake& shake = scene.camera.shake;
    for (auto& axis : m_waves) {
        for (Wave& wave : axis) {
            wave.hz = random.uniform(shake.lowHz, shake.highHz);
            wave.phase = random.uniform(0.0, 2.0 * std::numbers::pi);
        }
    }
}

double ShakeMotion::along(std::size_t axis, double tMs) const
{
    double sum = 0.0;
    for (const Wave& wave : m_waves[axis]) {
        sum += std::sin(2.0 * std::numbers::pi * wave.hz * tMs * 1e-3 + wave.phase)
            - std::sin(wave.phase);
    }
    return m_amplitude * sum;
}

ShiftPx ShakeMotion::at(double tMs) const { return {along(0, tMs), along(1, tMs)}; }

} // namespace twinlamp::film

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/scene.h"

#include <array>

namespace twinlamp::film {

/// Where the picture has moved to. Unit: px of the stored picture.
struct ShiftPx
{
    double x = 0.0;
    double y = 0.0;
};

/// Motion of a hand-held camera: a sum of slow waves in each direction, none at time 0.
class ShakeMotion
{
public:
    explicit ShakeMotion(const Scene& scene);
    [[nodiscard]] ShiftPx at(double tMs) const;

private:
    static constexpr std::size_t waveCount = 5;

    struct Wave
    {
        double hz;
        double phase;
    };

    [[nodiscard]] double along(std::size_t axis, double tMs) const;

    double m_amplitude;
    std::array<std::array<Wave, waveCount>, 2> m_waves {};
};

} // namespace twinlamp::film

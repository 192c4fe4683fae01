// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/level_window.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::onset {

double Level::standardError() const
{
    return frames == 0 ? 0.0 : noise / std::sqrt(static_cast<double>(frames));
}

Level levelOf(std::span<const float> light, std::size_t first, std::size_t last)
{
    Level level;
    double sum = 0.0;
    last = std::min(last, light.size());
    for (std::size_t k = first; k < last; ++k) {
        if (std::isfinite(light[k])) {
            sum += static_cast<double>(light[k]);
            ++level.frames;
        }
    }
    if (level.frames == 0) {
        return level;
    }
    level.light = sum / static_cast<double>(level.frames);
    double squares = 0.0;
    for (std::size_t k = first; k < last; ++k) {
        if (std::isfinite(light[k])) {
            const double deviation = static_cast<double>(light[k]) - level.light;
            squares += deviation * deviation;
        }
    }
    if (level.frames > 1) {
        level.noise = std::sqrt(squares / static_cast<double>(level.frames - 1));
    }
    return level;
}

} // namespace twinlamp::onset

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/random.h"

#include <cstddef>
#include <vector>

namespace twinlamp::film {

/// A picture of smooth random patches, mean 1, that repeats itself seamlessly in both directions.
class Texture
{
public:
    /// @param contrast  largest departure from the mean, 0 to 1
    /// @param patchPx   size of the patches
    Texture(std::uint64_t seed, Stream stream, int widthPx, int heightPx, double patchPx,
        double contrast);

    /// Any x and y; the picture repeats.
    [[nodiscard]] float at(int x, int y) const
    {
        return m_values[static_cast<std::size_t>(wrapped(y, m_height)) * m_width
            + static_cast<std::size_t>(wrapped(x, static_cast<int>(m_width)))];
    }

private:
    [[nodiscard]] static int wrapped(int i, int n) { return ((i % n) + n) % n; }

    std::size_t m_width;
    int m_height;
    std::vector<float> m_values;
};

} // namespace twinlamp::film

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <span>

/// Stretches of a clip in which the lamps do not switch, and sums over them.
namespace twinlamp::measure {

/// Frames [first, last) between edges, and whether the lamp is lit.
struct Stretch
{
    std::size_t first = 0;
    std::size_t last = 0;
    bool isLit = false;
};

/// A trace in a table: every `step`-th value from `first`.
struct Column
{
    std::span<float> values;
    std::size_t first = 0;
    std::size_t step = 1;

    [[nodiscard]] float& at(std::size_t frame) const { return values[first + frame * step]; }
};

/// Sums of products within stretches, each with its means taken out.
struct Products
{
    double bb = 0.0;
    double bl = 0.0;
    double ll = 0.0;
    double count = 0.0;

    void operator+=(const Products& o)
    {
        bb += o.bb;
        bl += o.bl;
        ll += o.ll;
        count += o.count;
    }
};

/// @param b      shape N
/// @param light  shape N; frames where either is not finite are passed over
[[nodiscard]] Products productsIn(
    const Stretch& stretch, std::span<const double> b, const Column& light);

} // namespace twinlamp::measure

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/luma_table.h"

#include "core/trace/transfer.h"

#include <cmath>

namespace twinlamp::trace {

LumaTable lumaTable(const footage::PictureView& picture)
{
    const int codes = 1 << picture.bitDepth;
    const double unit = std::ldexp(1.0, picture.bitDepth - 8);
    const bool full = picture.colour.fullRange || picture.layout == footage::PlaneLayout::Gbr;
    const double black = full ? 0.0 : 16.0 * unit;
    const double span = full ? codes - 1.0 : 219.0 * unit;
    LumaTable table;
    table.light.reserve(static_cast<std::size_t>(codes));
    table.code.reserve(static_cast<std::size_t>(codes));
    for (int code = 0; code < codes; ++code) {
        const double v = (code - black) / span;
        table.code.push_back(static_cast<float>(v));
        table.light.push_back(static_cast<float>(linearLight(picture.colour.transfer, v)));
    }
    return table;
}

} // namespace twinlamp::trace

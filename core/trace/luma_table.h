// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/picture.h"

#include <vector>

namespace twinlamp::trace {

/// What the luma codes of one kind of picture mean; one entry per code.
struct LumaTable
{
    std::vector<float> light; ///< of a grey pixel
    std::vector<float> code; ///< normalised: 0 black, 1 reference white
};

/// Source: ITU-T H.273, quantisation of luma; RGB samples use the whole code range.
[[nodiscard]] LumaTable lumaTable(const footage::PictureView& picture);

/// Whether a normalised code value is where a channel piles up: at reference white, or at the very
/// end of a limited-range code.
[[nodiscard]] constexpr bool isClippedCode(float code)
{
    constexpr float white = 0.985F;
    constexpr float whiteEnd = 1.02F;
    constexpr float codeEnd = 1.075F;
    return (code >= white && code < whiteEnd) || code >= codeEnd;
}

} // namespace twinlamp::trace

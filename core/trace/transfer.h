// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>

namespace twinlamp::trace {

/// Linear light of a normalised code value.
///
/// @param transfer  H.273 transfer_characteristics code point. 2 (unspecified) and unknown codes
/// are
///                  read as BT.709.
/// @param v         code value, 0 at black and 1 at reference white; values outside continue the
/// curve
///                  (below 0 on its straight foot, so that noise around black averages to black).
/// @return Light, 1 at v = 1 (PQ: 1 is 10000 cd/m2; HLG: scene light, without a system gamma).
/// Source: ITU-T H.273 Table 3 as printed in H.264 Annex E; BT.709 with the continuous constants;
///         PQ exponent n = 2610/16384.
/// Tests:  tests/core/trace/transfer_test.cpp
[[nodiscard]] double linearLight(int transfer, double v);

/// Inverse of `linearLight`.
[[nodiscard]] double codeValue(int transfer, double light);

/// Luma weights of an H.273 matrix_coefficients code point. Unspecified and unknown: BT.709.
struct LumaWeights
{
    double kr = 0.2126;
    double kb = 0.0722;

    [[nodiscard]] constexpr double kg() const { return 1.0 - kr - kb; }
};

[[nodiscard]] LumaWeights matrixWeights(int matrix);
/// Luminance weights of linear R, G, B for an H.273 colour_primaries code point (BT.709 when
/// unspecified).
[[nodiscard]] std::array<double, 3> luminanceWeights(int primaries);

} // namespace twinlamp::trace

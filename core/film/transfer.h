// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/scene.h"

#include <cstdint>
#include <vector>

namespace twinlamp::film {

/// Code level V for linear light, both 0 to 1 (light may go over 1 where the curve allows it).
/// Sources as in H.273: BT.709-6 item 1.2 and sRGB with the constants that make the curve
/// continuous, gamma 2.2 and 2.8, ARIB STD-B67 (HLG) scaled 0 to 1, ST 2084 (PQ) with 1 meaning
/// `pqPeak` cd/m2. Tests: tests/core/film/transfer_test.cpp.
[[nodiscard]] double codeLevel(Transfer transfer, double light, double pqPeak);

/// H.273 code points of a stream.
struct ColourCodes
{
    int primaries;
    int transfer;
    int matrix;
};

[[nodiscard]] ColourCodes colourCodes(Transfer transfer, Matrix matrix);

/// Weights of red and blue in luma.
struct LumaWeights
{
    double red;
    double blue;

    [[nodiscard]] double green() const { return 1.0 - red - blue; }
};

[[nodiscard]] LumaWeights lumaWeights(Matrix matrix);

/// Code levels for light from 0 to `clip`, evenly spaced.
class LevelTable
{
public:
    LevelTable(const Camera& camera, double clip);

    [[nodiscard]] static constexpr int steps() { return 65535; }

    /// V at index 0 to steps().
    [[nodiscard]] const std::vector<float>& levels() const { return m_levels; }

    /// Luma code of grey light at index 0 to steps().
    [[nodiscard]] const std::vector<std::uint16_t>& greyCodes() const { return m_greyCodes; }

private:
    std::vector<float> m_levels;
    std::vector<std::uint16_t> m_greyCodes;
};

/// Scale and offset from levels to codes of luma and chroma (H.273 section 8, as in H.264 Annex E).
struct CodeRange
{
    double lumaScale;
    double lumaOffset;
    double chromaScale;
    double chromaOffset;
    int largest;
};

[[nodiscard]] CodeRange codeRange(int bitDepth, bool fullRange);

} // namespace twinlamp::film

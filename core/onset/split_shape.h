// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/onset/shape_table.h"
#include "core/onset/step_shape.h"

#include <cstddef>
#include <optional>
#include <vector>

namespace twinlamp::onset {

/// How the first new picture shares the step with the second one. The link camera reads its rows
/// one after another, so rows further along the sweep saw the lamp longer: row v of the region
/// (0 first, 1 last along the sweep) is lit by p(v) = clamp(p0 + slope (v - 1/2), 0, 1).
struct RowSplit
{
    /// The region's read-out time over the link camera's exposure; negative where the panel is
    /// swept against the link camera's rows.
    double slope = 0.0;
    double share = 1.0; ///< of the whole step that the first picture makes
    bool operator==(const RowSplit&) const = default;
};

/// Shapes of the two steps: that of the first picture and that of the second.
struct SplitShapes
{
    StepShape first;
    StepShape second;
};

/// Weights of both steps under a split. With slope 0 both are the shape itself.
/// Tests: tests/core/onset/split_shape_test.cpp
[[nodiscard]] SplitShapes splitShapes(const StepShape& shape, RowSplit split);

/// Tables of both steps' shapes over a grid of shares, each pair made when it is first asked for:
/// fits look at a few of them. For one thread.
class SplitTables
{
public:
    SplitTables(const StepShape& shape, double exposureMs, double slope);

    struct Pair
    {
        ShapeTable first;
        ShapeTable second;
        RowSplit split;
    };

    /// Shape of an answer in one step.
    [[nodiscard]] const ShapeTable& whole() const { return m_whole; }

    /// By rising share; empty where all rows are lit alike.
    [[nodiscard]] const std::vector<RowSplit>& splits() const { return m_splits; }

    /// @pre i < splits().size()
    [[nodiscard]] const Pair& pair(std::size_t i) const;

private:
    std::optional<StretchTables> m_stretches; ///< that all weighed tables are made from
    ShapeTable m_whole;
    double m_exposureMs;
    std::vector<RowSplit> m_splits;
    mutable std::vector<std::optional<Pair>> m_pairs;
};

} // namespace twinlamp::onset

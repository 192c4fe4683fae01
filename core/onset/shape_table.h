// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/onset/step_shape.h"

#include <array>
#include <cstddef>
#include <vector>

namespace twinlamp::onset {

class StretchTables;

/// StepShape::meanOver for one exposure, tabulated: fits ask for it a million times.
/// Linear between 1024 points; the error stays below 1e-4 of the step.
class ShapeTable
{
public:
    ShapeTable(const StepShape& shape, double exposureMs);

    /// The shape's table from those of its stretches, for many shapes that differ in nothing but
    /// their weights.
    /// @pre shape.weights; `stretches` are of such a shape
    ShapeTable(const StepShape& shape, double exposureMs, const StretchTables& stretches);

    /// A single stretch of a weighed shape.
    [[nodiscard]] static StepShape stretchOf(const StepShape& shape)
    {
        return {shape.rampMs / static_cast<double>(shape.weights->size()), shape.tauMs, {},
            shape.overshoot};
    }

    /// Mean share of the change made during an exposure that starts startMs after the change began.
    [[nodiscard]] double at(double startMs) const
    {
        const double x = (startMs - m_low) * m_scale;
        if (x <= 0.0) {
            return 0.0;
        }
        if (x >= static_cast<double>(points - 1)) {
            return 1.0;
        }
        const auto i = static_cast<std::size_t>(x);
        const double part = x - static_cast<double>(i);
        return m_values[i] + part * (m_values[i + 1] - m_values[i]);
    }

    [[nodiscard]] const StepShape& shape() const { return m_shape; }

    /// Exposures that start at `wholeFromMs` or later hold all of the change; those up to `noneMs`
    /// hold nothing of it.
    [[nodiscard]] double noneMs() const { return m_low; }

    [[nodiscard]] double wholeFromMs() const
    {
        return m_low + static_cast<double>(points - 1) / m_scale;
    }

private:
    friend class StretchTables;

    static double scaleOf(const StepShape& shape, double exposureMs)
    {
        return (points - 1)
            / (shape.rampMs + responseSpan * shape.tauMs + shape.overshoot.backMs + exposureMs
                + 1e-3);
    }

    static constexpr std::size_t points = 1024;
    static constexpr double responseSpan = 12.0; ///< exp(-12) is 6e-6: settled
    StepShape m_shape;
    double m_low;
    double m_scale;
    std::vector<double> m_values;
};

/// Shares that each stretch of a weighed shape has made at the places of its table, as if it alone
/// had all the weight: what shapes that differ in their weights alone have in common.
class StretchTables
{
public:
    /// @pre shape.weights; only their number counts
    StretchTables(const StepShape& shape, double exposureMs);

    /// Sum of all stretches by their weights, one value for each place. @pre one weight a stretch
    [[nodiscard]] std::vector<double> weighed(const SweepWeights& weights) const;

private:
    // Of the length that a table has, rounded up to what vectors of numbers are summed in.
    static constexpr std::size_t rowLength = 1028;
    using Row = std::array<double, rowLength>;
    std::vector<Row> m_rows;
};

} // namespace twinlamp::onset

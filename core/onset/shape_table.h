// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/onset/step_shape.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

namespace twinlamp::onset {

/// StepShape::meanOver for one exposure, tabulated: fits ask for it a million times.
/// Linear between 1024 points; the error stays below 1e-4 of the step.
class ShapeTable
{
public:
    ShapeTable(const StepShape& shape, double exposureMs)
        : m_shape(shape)
        , m_low(-exposureMs - 1e-9)
        , m_scale(scaleOf(shape, exposureMs))
    {
        if (shape.weights) {
            *this = ShapeTable(shape, exposureMs, ShapeTable(stretchOf(shape), exposureMs));
            return;
        }
        m_values.resize(points + 1);
        for (std::size_t i = 0; i < m_values.size(); ++i) {
            m_values[i] = shape.meanOver(m_low + static_cast<double>(i) / m_scale, exposureMs);
        }
        m_values.back() = 1.0;
    }

    /// The shape's table from that of one of its stretches, for many shapes that differ in nothing
    /// but their weights.
    /// @param stretch  ShapeTable(stretchOf(shape), exposureMs)
    /// @pre shape.weights
    ShapeTable(const StepShape& shape, double exposureMs, const ShapeTable& stretch)
        : m_shape(shape)
        , m_low(-exposureMs - 1e-9)
        , m_scale(scaleOf(shape, exposureMs))
        , m_values(points + 1)
    {
        const SweepWeights& weights = *shape.weights;
        const double lengthMs = shape.rampMs / static_cast<double>(weights.size());
        // In places of the stretch's table: place i here is i * step - j * shift there.
        const double step = stretch.m_scale / m_scale;
        const double shift = lengthMs * stretch.m_scale;
        std::vector<double> wholeFrom(m_values.size() + 1); // weight that is whole from here on
        for (std::size_t j = 0; j < weights.size(); ++j) {
            addStretch(weights[j], stretch, step, static_cast<double>(j) * shift, wholeFrom);
        }
        double whole = 0.0;
        for (std::size_t i = 0; i < m_values.size(); ++i) {
            whole += wholeFrom[i];
            m_values[i] += whole;
        }
        m_values.back() = 1.0;
    }

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
    /// Adds one weighed stretch where it is under way; where it is whole, to `wholeFrom`.
    void addStretch(double weight, const ShapeTable& stretch, double step, double shift,
        std::vector<double>& wholeFrom)
    {
        const auto count = static_cast<double>(m_values.size());
        const auto from = static_cast<std::size_t>(std::min(count, shift / step) + 1.0);
        const auto whole = static_cast<std::size_t>(
            std::min(count, std::ceil((static_cast<double>(points - 1) + shift) / step)));
        for (std::size_t i = from; i < whole; ++i) {
            const double x = std::max(0.0, static_cast<double>(i) * step - shift);
            const auto at = static_cast<std::size_t>(x);
            const double part = x - static_cast<double>(at);
            m_values[i] += weight
                * (stretch.m_values[at] + part * (stretch.m_values[at + 1] - stretch.m_values[at]));
        }
        wholeFrom[std::max(from, whole)] += weight;
    }

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

} // namespace twinlamp::onset

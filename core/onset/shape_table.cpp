// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/shape_table.h"

#include "core/base/contracts.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::onset {

ShapeTable::ShapeTable(const StepShape& shape, double exposureMs)
    : m_shape(shape)
    , m_low(-exposureMs - 1e-9)
    , m_scale(scaleOf(shape, exposureMs))
{
    if (shape.weights) {
        *this = ShapeTable(shape, exposureMs, StretchTables(shape, exposureMs));
        return;
    }
    m_values.resize(points + 1);
    for (std::size_t i = 0; i < m_values.size(); ++i) {
        m_values[i] = shape.meanOver(m_low + static_cast<double>(i) / m_scale, exposureMs);
    }
    m_values.back() = 1.0;
}

ShapeTable::ShapeTable(const StepShape& shape, double exposureMs, const StretchTables& stretches)
    : m_shape(shape)
    , m_low(-exposureMs - 1e-9)
    , m_scale(scaleOf(shape, exposureMs))
    , m_values(stretches.weighed(*shape.weights))
{
    m_values.resize(points + 1);
    m_values.back() = 1.0;
}

StretchTables::StretchTables(const StepShape& shape, double exposureMs)
    : m_rows(shape.weights->size())
{
    static_assert(rowLength > ShapeTable::points);
    const ShapeTable stretch(ShapeTable::stretchOf(shape), exposureMs);
    // In places of the stretch's table: place i here is i * step - j * shift there.
    const double step = stretch.m_scale / ShapeTable::scaleOf(shape, exposureMs);
    const double shift = shape.rampMs / static_cast<double>(m_rows.size()) * stretch.m_scale;
    constexpr auto settled = static_cast<double>(ShapeTable::points - 1);
    for (std::size_t j = 0; j < m_rows.size(); ++j) {
        Row& row = m_rows[j];
        for (std::size_t i = 0; i < row.size(); ++i) {
            const double x = static_cast<double>(i) * step - static_cast<double>(j) * shift;
            const auto at = static_cast<std::size_t>(std::clamp(x, 0.0, settled - 1.0));
            const double part = x - static_cast<double>(at);
            row[i] = x <= 0.0 ? 0.0
                : x >= settled
                ? 1.0
                : stretch.m_values[at] + part * (stretch.m_values[at + 1] - stretch.m_values[at]);
        }
    }
}

std::vector<double> StretchTables::weighed(const SweepWeights& weights) const
{
    TL_EXPECTS(weights.size() == m_rows.size());
    Row sums {};
    for (std::size_t j = 0; j < m_rows.size(); ++j) {
        const Row& row = m_rows[j];
        const double weight = weights[j];
        for (std::size_t i = 0; i < rowLength; ++i) {
            sums[i] += weight * row[i];
        }
    }
    return {sums.begin(), sums.end()};
}

} // namespace twinlamp::onset

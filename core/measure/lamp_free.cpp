// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/lamp_free.h"

#include "core/measure/lamp_steps.h"
#include "core/trace/light_meter.h"
#include "core/trace/noise.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace twinlamp::measure {

namespace {

constexpr double leastAgreement = 0.8;
constexpr double leastVariation = 0.003;
constexpr std::size_t fewestCells = 2;

double meanFinite(const std::vector<double>& values)
{
    double sum = 0.0;
    double count = 0.0;
    for (const double value : values) {
        if (std::isfinite(value)) {
            sum += value;
            count += 1.0;
        }
    }
    return count > 0.0 ? sum / count : 0.0;
}

} // namespace

LampFree::LampFree(const RoomView& view, const RegionRequest& regions, RegionLight& light,
    const QuietStretches& quiet)
    : m_view(view)
    , m_light(light)
    , m_quiet(quiet)
{
    for (std::size_t cell = 0; cell < cellCount(); ++cell) {
        // What the lamp shines on steps with it, what lies on the panel steps with its picture.
        if (isClear(cell, regions) && !stepsWithLamps(columnOf(cell), m_quiet.byReference)
            && !stepsWithLamps(columnOf(cell), m_quiet.byGoggle)) {
            m_cells.push_back(cell);
        }
    }
}

bool LampFree::varies(double thresholds) const
{
    if (m_cells.size() < 2 * fewestCells) {
        return false;
    }
    std::vector<std::size_t> odd;
    std::vector<std::size_t> even;
    for (std::size_t i = 0; i < m_cells.size(); ++i) {
        (i % 2 == 0 ? even : odd).push_back(m_cells[i]);
    }
    const std::vector<double> one = meanOf(even);
    const std::vector<double> other = meanOf(odd);
    std::vector<float> narrow(other.begin(), other.end());
    Products sums;
    for (const Stretch& stretch : m_quiet.byReference) {
        sums += productsIn(stretch, one, {narrow});
    }
    const double mean = trace::medianOf(one);
    return sums.bl > thresholds * leastAgreement * std::sqrt(sums.bb * sums.ll) && mean > 0.0
        && sums.bb > std::pow(thresholds * leastVariation * mean, 2) * sums.count;
}

std::vector<double> LampFree::onRows(int top, int bottom) const
{
    std::vector<std::size_t> near;
    std::vector<double> shared; // rows in common with each cell
    for (int further = 0; near.size() < fewestCells && further < m_view.picture.height;
         further += std::max(1, m_view.picture.height / m_view.rows)) {
        near.clear();
        shared.clear();
        for (const std::size_t cell : m_cells) {
            const RectPx place = placeOf(cell);
            const int rows
                = std::min(place.bottom(), bottom + further) - std::max(place.y, top - further);
            if (rows > 0) {
                near.push_back(cell);
                shared.push_back(rows);
            }
        }
    }
    std::vector<double> light = meanOf(near, shared);
    const double mean = meanFinite(light);
    for (double& value : light) {
        value -= mean;
    }
    return light;
}

std::size_t LampFree::cellCount() const
{
    return static_cast<std::size_t>(m_view.columns) * static_cast<std::size_t>(m_view.rows);
}

RectPx LampFree::placeOf(std::size_t cell) const
{
    const auto columns = static_cast<std::size_t>(m_view.columns);
    return trace::cellOf({m_view.picture, m_view.columns, m_view.rows, 0},
        static_cast<int>(cell % columns), static_cast<int>(cell / columns));
}

Column LampFree::columnOf(std::size_t cell) const { return {m_light.roomCells, cell, cellCount()}; }

bool LampFree::isClear(std::size_t cell, const RegionRequest& regions) const
{
    for (const auto& region : {regions.reference, regions.goggle, regions.panel}) {
        if (!region) {
            continue;
        }
        const int margin = std::max(4, std::min(region->width, region->height) / 4);
        const RectPx around {region->x - margin, region->y - margin, region->width + 2 * margin,
            region->height + 2 * margin};
        if (!intersection(around, placeOf(cell)).isEmpty()) {
            return false;
        }
    }
    return true;
}

std::vector<double> LampFree::meanOf(const std::vector<std::size_t>& cells) const
{
    return meanOf(cells, std::vector<double>(cells.size(), 1.0));
}

std::vector<double> LampFree::meanOf(
    const std::vector<std::size_t>& cells, const std::vector<double>& weights) const
{
    const double all = std::accumulate(weights.begin(), weights.end(), 0.0);
    std::vector<double> mean(m_view.startMs.size(), 0.0);
    for (std::size_t k = 0; k < mean.size(); ++k) {
        for (std::size_t i = 0; i < cells.size(); ++i) {
            mean[k] += weights[i] * static_cast<double>(columnOf(cells[i]).at(k));
        }
        mean[k] /= all;
    }
    return mean;
}

} // namespace twinlamp::measure

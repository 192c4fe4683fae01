// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/split_shape.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>

namespace twinlamp::onset {

namespace {

// Stretches of a region whose weights are not known.
constexpr std::size_t evenStretches = 12;
// Steps of the grid of shares: finer than any clip tells them.
constexpr int shareSteps = 20;

SweepWeights weightsOf(const StepShape& shape)
{
    return shape.weights ? *shape.weights
                         : SweepWeights(evenStretches, 1.0 / static_cast<double>(evenStretches));
}

// Light of every stretch in the first picture.
SweepWeights firstLight(const SweepWeights& weights, double slope, double middle)
{
    SweepWeights first(weights.size());
    for (std::size_t i = 0; i < weights.size(); ++i) {
        const double place = (static_cast<double>(i) + 0.5) / static_cast<double>(weights.size());
        first[i] = weights[i] * std::clamp(middle + slope * (place - 0.5), 0.0, 1.0);
    }
    return first;
}

double sumOf(const SweepWeights& weights)
{
    double sum = 0.0;
    for (const double weight : weights) {
        sum += weight;
    }
    return sum;
}

std::shared_ptr<const SweepWeights> normalised(SweepWeights weights)
{
    const double sum = sumOf(weights);
    for (double& weight : weights) {
        weight /= sum;
    }
    return std::make_shared<const SweepWeights>(std::move(weights));
}

} // namespace

SplitShapes splitShapes(const StepShape& shape, RowSplit split)
{
    if (split.slope == 0.0 || split.share <= 0.0 || split.share >= 1.0) {
        return {shape, shape};
    }
    const SweepWeights weights = weightsOf(shape);
    double low = -0.5 * std::abs(split.slope);
    double high = 1.0 + 0.5 * std::abs(split.slope);
    constexpr int halvings = 40;
    for (int i = 0; i < halvings; ++i) {
        const double middle = 0.5 * (low + high);
        (sumOf(firstLight(weights, split.slope, middle)) < split.share ? low : high) = middle;
    }
    SweepWeights first = firstLight(weights, split.slope, 0.5 * (low + high));
    SweepWeights second(weights.size());
    std::ranges::transform(weights, first, second.begin(), std::minus<>());
    return {{shape.rampMs, shape.tauMs, normalised(std::move(first)), shape.overshoot},
        {shape.rampMs, shape.tauMs, normalised(std::move(second)), shape.overshoot}};
}

namespace {

std::optional<StretchTables> stretchTables(const StepShape& shape, double exposureMs, double slope)
{
    if (!shape.weights && slope == 0.0) {
        return std::nullopt;
    }
    const StepShape weighed {shape.rampMs, shape.tauMs,
        std::make_shared<const SweepWeights>(weightsOf(shape)), shape.overshoot};
    return StretchTables(weighed, exposureMs);
}

} // namespace

SplitTables::SplitTables(const StepShape& shape, double exposureMs, double slope)
    : m_stretches(stretchTables(shape, exposureMs, slope))
    , m_whole(shape.weights ? ShapeTable(shape, exposureMs, *m_stretches)
                            : ShapeTable(shape, exposureMs))
    , m_exposureMs(exposureMs)
{
    if (slope == 0.0) {
        return;
    }
    for (int i = 1; i < shareSteps; ++i) {
        m_splits.push_back({slope, static_cast<double>(i) / shareSteps});
    }
    m_pairs.resize(m_splits.size());
}

const SplitTables::Pair& SplitTables::pair(std::size_t i) const
{
    std::optional<Pair>& made = m_pairs[i];
    if (!made) {
        const SplitShapes shapes = splitShapes(m_whole.shape(), m_splits[i]);
        made.emplace(Pair {ShapeTable(shapes.first, m_exposureMs, *m_stretches),
            ShapeTable(shapes.second, m_exposureMs, *m_stretches), m_splits[i]});
    }
    return *made;
}

} // namespace twinlamp::onset

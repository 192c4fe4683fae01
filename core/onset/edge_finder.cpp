// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/edge_finder.h"

#include "core/trace/noise.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

namespace twinlamp::onset {

namespace {

constexpr double smallestStepNoises = 8.0;
constexpr double smallestStep = 0.002;
// Frames over which the level of a state is followed: long against noise, short against drift.
constexpr std::size_t levelFrames = 15;
// From this share of the step on a frame does not belong to the old level any more.
constexpr double leftLevel = 0.25;

std::vector<float> withoutGaps(std::span<const float> light)
{
    std::vector<float> filled(light.begin(), light.end());
    float last = 0.0F;
    const auto first = std::ranges::find_if(filled, [](float v) { return std::isfinite(v); });
    if (first != filled.end()) {
        last = *first;
    }
    for (float& value : filled) {
        if (std::isfinite(value)) {
            last = value;
        } else {
            value = last;
        }
    }
    return filled;
}

std::vector<float> finiteOf(std::span<const float> light)
{
    std::vector<float> finite;
    std::ranges::copy_if(
        light, std::back_inserter(finite), [](float v) { return std::isfinite(v); });
    return finite;
}

// Median over the steps of their heights, each step a run of large differences at the lag.
double typicalStep(std::span<const float> light, std::size_t lag)
{
    if (light.size() <= lag) {
        return 0.0;
    }
    std::vector<double> rise(light.size() - lag);
    for (std::size_t k = 0; k < rise.size(); ++k) {
        rise[k] = std::abs(static_cast<double>(light[k + lag]) - static_cast<double>(light[k]));
    }
    const double threshold = 0.5 * *std::ranges::max_element(rise);
    std::vector<double> heights;
    double height = 0.0;
    for (const double value : rise) {
        if (value > threshold) {
            height = std::max(height, value);
        } else if (height > 0.0) {
            heights.push_back(height);
            height = 0.0;
        }
    }
    if (height > 0.0) {
        heights.push_back(height);
    }
    return trace::medianOf(heights);
}

// Median of the latest values of a state, kept sorted: this runs once per frame and per block of
// the picture.
class LevelFollower
{
public:
    void restart()
    {
        m_count = 0;
        m_next = 0;
    }

    void add(double value)
    {
        if (m_count == levelFrames) {
            auto* const oldest = std::lower_bound(
                m_sorted.begin(), m_sorted.begin() + levelFrames, m_ring[m_next]);
            std::move(oldest + 1, m_sorted.begin() + levelFrames, oldest);
            --m_count;
        }
        auto* const end = m_sorted.begin() + m_count;
        auto* const place = std::upper_bound(m_sorted.begin(), end, value);
        std::move_backward(place, end, end + 1);
        *place = value;
        ++m_count;
        m_ring[m_next] = value;
        m_next = (m_next + 1) % levelFrames;
    }

    [[nodiscard]] bool isEmpty() const { return m_count == 0; }

    [[nodiscard]] double level() const
    {
        const std::size_t half = m_count / 2;
        return m_count % 2 == 1 ? m_sorted[half] : 0.5 * (m_sorted[half - 1] + m_sorted[half]);
    }

private:
    std::array<double, levelFrames + 1> m_sorted {};
    std::array<double, levelFrames> m_ring {};
    std::size_t m_count = 0;
    std::size_t m_next = 0;
};

// Whether the light goes on in the direction of its last switching.
bool goesOn(std::optional<Edge> state, double departure, double by)
{
    return (state == Edge::On && departure > by) || (state == Edge::Off && departure < -by);
}

} // namespace

EdgeSearch findEdges(std::span<const float> light, std::size_t lagFrames)
{
    EdgeSearch search;
    if (light.size() < 3) {
        return search;
    }
    const std::vector<float> filled = withoutGaps(light);
    search.noise = trace::frameNoise(finiteOf(light));
    const double step = typicalStep(filled, std::max<std::size_t>(1, lagFrames));
    if (step < smallestStep || step < smallestStepNoises * search.noise) {
        return search;
    }
    search.stepHeight = step;
    LevelFollower follower;
    std::optional<Edge> state; // the last switching; unknown before the first
    const std::size_t patience = 4 * std::max<std::size_t>(1, lagFrames);
    std::size_t onTheWay = 0; // frames that have left the level by less than half a step
    for (std::size_t k = 0; k < filled.size(); ++k) {
        const double value = filled[k];
        if (!follower.isEmpty()) {
            const double departure = value - follower.level();
            const bool rises = departure > 0.5 * step && state != Edge::On;
            const bool falls = departure < -0.5 * step && state != Edge::Off;
            if (rises || falls) {
                state = rises ? Edge::On : Edge::Off;
                search.edges.push_back({*state, k});
                follower.restart();
                onTheWay = 0;
            } else if (onTheWay >= patience
                || (goesOn(state, departure, leftLevel * step)
                    && k <= search.edges.back().frame + lagFrames)) {
                // Another level by now; or the second picture completes what a partly lit first one
                // began, and the next switching leaves from there.
                follower.restart();
                onTheWay = 0;
            } else if (std::abs(departure) > leftLevel * step) {
                // A partly lit first picture: neither the old level nor yet the new one.
                ++onTheWay;
                continue;
            }
        }
        follower.add(value);
    }
    return search;
}

} // namespace twinlamp::onset

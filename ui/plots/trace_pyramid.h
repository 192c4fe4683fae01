// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <limits>
#include <span>
#include <vector>

namespace twinlamp::ui {

/// Lowest and highest value of some frames; `isEmpty` where all of them are missing.
struct Extent
{
    float low = std::numeric_limits<float>::infinity();
    float high = -std::numeric_limits<float>::infinity();
    bool operator==(const Extent&) const = default;

    [[nodiscard]] bool isEmpty() const { return low > high; }

    void add(const Extent& other);
    void add(float value); ///< NaN (a missing frame) changes nothing
};

/// Minima and maxima of a trace over ever longer stretches, so that any zoom draws few points and
/// loses no flash, however short.
class TracePyramid
{
public:
    /// Takes the trace as it stands now; only what lies behind the part known before is read, so a
    /// trace that grows during a scan costs what it grows by. A shorter trace starts anew.
    void extendTo(std::span<const float> trace);
    /// Takes a trace whose values may have changed anywhere.
    void replaceBy(std::span<const float> trace);

    [[nodiscard]] std::size_t size() const { return m_trace.size(); }

    [[nodiscard]] std::span<const float> values() const { return m_trace; }

    /// Extent of the frames [first, last), cut to the trace.
    [[nodiscard]] Extent extent(std::size_t first, std::size_t last) const;
    /// Frames [first, last) cut into `count` stretches of as equal length as whole frames allow.
    [[nodiscard]] std::vector<Extent> columns(
        std::size_t first, std::size_t last, std::size_t count) const;

private:
    static constexpr std::size_t factor = 16;

    std::vector<float> m_trace;
    std::vector<std::vector<Extent>> m_levels; ///< entry i of level l covers factor^(l + 1) frames
};

} // namespace twinlamp::ui

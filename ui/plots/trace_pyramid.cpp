// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/plots/trace_pyramid.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::ui {

void Extent::add(const Extent& other)
{
    low = std::min(low, other.low);
    high = std::max(high, other.high);
}

void Extent::add(float value)
{
    if (!std::isnan(value)) {
        low = std::min(low, value);
        high = std::max(high, value);
    }
}

void TracePyramid::extendTo(std::span<const float> trace)
{
    if (trace.size() < m_trace.size()) {
        m_trace.clear();
        m_levels.clear();
    }
    const std::size_t known = m_trace.size();
    m_trace.insert(m_trace.end(), trace.begin() + static_cast<std::ptrdiff_t>(known), trace.end());
    // Each level is built from the one below; entries that were whole before stay as they are.
    std::size_t entriesBelow = m_trace.size();
    std::size_t firstChanged = known;
    for (std::size_t level = 0; entriesBelow > factor; ++level) {
        if (level == m_levels.size()) {
            m_levels.emplace_back();
            firstChanged = 0;
        }
        const std::size_t entries = (entriesBelow + factor - 1) / factor;
        std::vector<Extent>& built = m_levels[level];
        firstChanged = std::min(firstChanged / factor, built.size());
        built.resize(entries);
        for (std::size_t i = firstChanged; i < entries; ++i) {
            Extent sum;
            const std::size_t end = std::min((i + 1) * factor, entriesBelow);
            for (std::size_t j = i * factor; j < end; ++j) {
                if (level == 0) {
                    sum.add(m_trace[j]);
                } else {
                    sum.add(m_levels[level - 1][j]);
                }
            }
            built[i] = sum;
        }
        entriesBelow = entries;
    }
}

void TracePyramid::replaceBy(std::span<const float> trace)
{
    m_trace.clear();
    m_levels.clear();
    extendTo(trace);
}

Extent TracePyramid::extent(std::size_t first, std::size_t last) const
{
    last = std::min(last, m_trace.size());
    Extent sum;
    while (first < last) {
        // The longest stretch that starts here and does not reach past the end.
        std::size_t stretch = 1;
        std::size_t level = 0;
        while (level < m_levels.size() && first % (stretch * factor) == 0
            && first + stretch * factor <= last) {
            stretch *= factor;
            ++level;
        }
        if (level == 0) {
            sum.add(m_trace[first]);
        } else {
            sum.add(m_levels[level - 1][first / stretch]);
        }
        first += stretch;
    }
    return sum;
}

std::vector<Extent> TracePyramid::columns(
    std::size_t first, std::size_t last, std::size_t count) const
{
    last = std::min(last, m_trace.size());
    std::vector<Extent> result;
    if (first >= last || count == 0) {
        return result;
    }
    result.reserve(count);
    const std::size_t frames = last - first;
    for (std::size_t i = 0; i < count; ++i) {
        result.push_back(extent(first + i * frames / count, first + (i + 1) * frames / count));
    }
    return result;
}

} // namespace twinlamp::ui

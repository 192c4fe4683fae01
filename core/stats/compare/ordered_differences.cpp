// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/ordered_differences.h"

#include "core/base/contracts.h"

#include <bit>
#include <utility>

namespace twinlamp::stats {

namespace {

constexpr std::uint64_t signBit = 1ULL << 63U;

/// Integers in the order of the doubles.
std::uint64_t placeOf(double value)
{
    const auto bits = std::bit_cast<std::uint64_t>(value);
    return (bits & signBit) != 0 ? ~bits : bits | signBit;
}

double atPlace(std::uint64_t place)
{
    return std::bit_cast<double>((place & signBit) != 0 ? place & ~signBit : ~place);
}

} // namespace

OrderedDifferences::OrderedDifferences(std::vector<double> sortedX, std::vector<double> sortedY)
    : m_x(std::move(sortedX))
    , m_y(std::move(sortedY))
{
    TL_EXPECTS(!m_x.empty() && !m_y.empty());
}

std::int64_t OrderedDifferences::count() const
{
    return static_cast<std::int64_t>(m_x.size()) * static_cast<std::int64_t>(m_y.size());
}

std::int64_t OrderedDifferences::countUpTo(double value) const
{
    // For a larger x the smallest y that still does moves up: one walk along both.
    std::int64_t counted = 0;
    std::size_t first = 0;
    for (const double x : m_x) {
        while (first < m_y.size() && x - m_y[first] > value) {
            ++first;
        }
        counted += static_cast<std::int64_t>(m_y.size() - first);
    }
    return counted;
}

double OrderedDifferences::atRank(std::int64_t rank) const
{
    TL_EXPECTS(rank >= 1 && rank <= count());
    std::uint64_t low = placeOf(m_x.front() - m_y.back());
    std::uint64_t high = placeOf(m_x.back() - m_y.front());
    while (low < high) {
        const std::uint64_t middle = low + (high - low) / 2;
        if (countUpTo(atPlace(middle)) >= rank) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    return atPlace(low) + 0.0; // a zero without a sign
}

} // namespace twinlamp::stats

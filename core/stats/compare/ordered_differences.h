// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <vector>

namespace twinlamp::stats {

/// All differences x - y of two sorted samples, in order of size, without a table of them.
class OrderedDifferences
{
public:
    /// @pre both ascending, finite and not empty
    OrderedDifferences(std::vector<double> sortedX, std::vector<double> sortedY);

    [[nodiscard]] std::int64_t count() const;

    /// The difference of that rank, from 1, exactly as subtraction gives it.
    /// Bisection over the doubles themselves: 64 walks along both samples at most.
    /// @pre 1 <= rank <= count()
    [[nodiscard]] double atRank(std::int64_t rank) const;

private:
    /// How many differences are no larger than the value.
    [[nodiscard]] std::int64_t countUpTo(double value) const;

    std::vector<double> m_x;
    std::vector<double> m_y;
};

} // namespace twinlamp::stats

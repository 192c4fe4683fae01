// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/quantile.h"
#include "tests/reference/nist_univariate.h"

#include <algorithm>
#include <gtest/gtest.h>
#include <ostream>
#include <string>
#include <vector>

namespace twinlamp::stats {
namespace {

struct Row
{
    std::string name;
    std::vector<double> values;
    double share;
    double expected;
};

void PrintTo(const Row& row, std::ostream* out) { *out << row.name; }

/// NIST/SEMATECH e-Handbook 7.2.6.2, 12 wafer readings; its page prints 95.1957 for type 7.
const std::vector<double> wafers {95.1772, 95.1567, 95.1937, 95.1959, 95.1442, 95.0610, 95.1591,
    95.1195, 95.1065, 95.0925, 95.1990, 95.1682};
/// Nine close values and one straggler, made up.
const std::vector<double> straggler {23, 25.5, 27.1, 24.2, 31.9, 22.8, 26.4, 28.3, 24.9, 60.2};

std::vector<double> oneToTen() { return {1, 2, 3, 4, 5, 6, 7, 8, 9, 10}; }

std::vector<double> michelsoValues()
{
    return {reference::michelso.begin(), reference::michelso.end()};
}

/// Expected: R 4.2.2 quantile(x, p, type = 7) and NumPy 1.24 quantile(x, p, method = "linear"),
/// which agree.
std::vector<Row> rows()
{
    return {
        {"Wafers90", wafers, 0.90, 95.19568},
        {"Wafers95", wafers, 0.95, 95.197295},
        {"OneToTen75", oneToTen(), 0.75, 7.75},
        {"OneToTen90", oneToTen(), 0.90, 9.1},
        {"OneToTen95", oneToTen(), 0.95, 9.55},
        {"Straggler90", straggler, 0.90, 34.73},
        {"Straggler95", straggler, 0.95, 47.465},
        {"Straggler99", straggler, 0.99, 57.653},
        {"Michelso5", michelsoValues(), 0.05, 739},
        {"Michelso25", michelsoValues(), 0.25, 807.5},
        {"Michelso95", michelsoValues(), 0.95, 980},
        {"Michelso99", michelsoValues(), 0.99, 1000.7},
        {"Two95", {10, 20}, 0.95, 19.5},
        {"Two60", {10, 20}, 0.60, 16},
    };
}

class QuantileType7Table : public ::testing::TestWithParam<Row>
{
};

TEST_P(QuantileType7Table, MatchesOtherSystems)
{
    std::vector<double> sorted = GetParam().values;
    std::ranges::sort(sorted);
    const double expected = GetParam().expected;
    EXPECT_NEAR(quantileType7(sorted, GetParam().share).value(), expected, expected * 1e-12);
}

INSTANTIATE_TEST_SUITE_P(Published, QuantileType7Table, ::testing::ValuesIn(rows()),
    [](const auto& row) { return row.param.name; });

TEST(QuantileType7, SingleSampleIsItsOwnQuantile)
{
    const std::vector<double> one {5.0};
    for (const double share : {0.0, 0.05, 0.5, 0.95, 1.0}) {
        EXPECT_EQ(quantileType7(one, share), 5.0);
    }
}

TEST(QuantileType7, EmptySampleHasNone)
{
    EXPECT_FALSE(quantileType7(OrderedSample {}, 0.5).has_value());
}

TEST(QuantileType7, EndsAreTheExtremes)
{
    EXPECT_EQ(quantileType7(oneToTen(), 0.0), 1.0);
    EXPECT_EQ(quantileType7(oneToTen(), 1.0), 10.0);
}

TEST(QuantileType7, LostOnesCountAsLargerThanAll)
{
    // 8 known and 2 lost of N = 10: h = 9 p. The median interpolates ranks 5 and 6, both known.
    const std::vector<double> known {1, 2, 3, 4, 5, 6, 7, 8};
    const OrderedSample sample {known, 2};
    EXPECT_EQ(quantileType7(sample, 0.5), 5.5);
    // p = 7/9 is exactly the largest known value and needs no lost neighbour.
    EXPECT_EQ(quantileType7(sample, 7.0 / 9.0), 8.0);
    EXPECT_FALSE(quantileType7(sample, 0.8).has_value());
    EXPECT_FALSE(quantileType7(sample, 1.0).has_value());
}

TEST(QuantileType7, OnlyLostOnesGiveNone)
{
    EXPECT_FALSE(quantileType7(OrderedSample {{}, 3}, 0.0).has_value());
}

} // namespace
} // namespace twinlamp::stats

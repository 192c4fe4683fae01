// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/trend/independence.h"
#include "tests/reference/nist_univariate.h"
#include "tests/reference/trend_series.h"

#include <gtest/gtest.h>
#include <ostream>
#include <string>
#include <vector>

namespace twinlamp::stats {
namespace {

template<std::size_t N> std::vector<double> asDoubles(const std::array<int, N>& integers)
{
    return {integers.begin(), integers.end()};
}

struct RunsRow
{
    std::string name;
    std::vector<double> values;
    MedianValues medianValues;
    RunsTest expected;
    double pTolerance;
};

void PrintTo(const RunsRow& row, std::ostream* out) { *out << row.name; }

/// R 4.2.2 tseries runs.test; Lew also statsmodels runstest_1samp, and 2.6938 in the NIST/SEMATECH
/// e-Handbook 1.3.5.13 (from memory).
std::vector<RunsRow> runsRows()
{
    using namespace reference;
    return {
        {"Lew", asDoubles(lew), MedianValues::Above,
            {100, 100, 120, 101, 49.7487437186, 2.69378259079, 0.00706462295496}, 5e-14},
        {"Michelso", asDoubles(michelso), MedianValues::Above,
            {53, 47, 29, 50.82, 24.5678020202, -4.40221849855, 1.07149566e-05}, 5e-13},
        {"MichelsoDropped", asDoubles(michelso), MedianValues::Dropped,
            {45, 47, 24, 46.9782608696, 22.7255188101, -4.82014665774, 1.43452724e-06}, 5e-14},
        {"Lottery", asDoubles(lottery), MedianValues::Above,
            {109, 109, 114, 110, 54.2488479263, 0.543081153212, 0.587073928331}, 5e-12},
        {"Sulfate", sulfate, MedianValues::Above,
            {12, 11, 6, 12.4782608696, 5.46691871456, -2.77068481231, 0.00559385454318}, 5e-13},
    };
}

class RunsTable : public ::testing::TestWithParam<RunsRow>
{
};

TEST_P(RunsTable, MatchesOtherSystems)
{
    const RunsRow& row = GetParam();
    const auto test = runsTest(row.values, row.medianValues);
    ASSERT_TRUE(test);
    EXPECT_EQ(test->above, row.expected.above);
    EXPECT_EQ(test->below, row.expected.below);
    EXPECT_EQ(test->runs, row.expected.runs);
    EXPECT_NEAR(test->expected, row.expected.expected, 5e-11);
    EXPECT_NEAR(test->variance, row.expected.variance, 5e-11);
    EXPECT_NEAR(test->z, row.expected.z, 5e-12);
    EXPECT_NEAR(test->pValue, row.expected.pValue, row.pTolerance);
}

INSTANTIATE_TEST_SUITE_P(Published, RunsTable, ::testing::ValuesIn(runsRows()),
    [](const auto& row) { return row.param.name; });

TEST(RunsTest, FewValuesSayNothing)
{
    EXPECT_FALSE(runsTest(std::vector<double> {1, 9, 2, 8, 3, 7, 4, 6}).has_value());
    EXPECT_FALSE(runsTest(std::vector<double>(40, 25.0)).has_value());
    EXPECT_FALSE(runsTest({}).has_value());
}

struct LagRow
{
    std::string name;
    std::vector<double> values;
    double r;
    double rTolerance;
    double band; ///< 0: not printed
    double ljungBox;
    double pValue;
};

void PrintTo(const LagRow& row, std::ostream* out) { *out << row.name; }

std::vector<double> numAcc(double c)
{
    std::vector<double> values {c};
    for (int i = 0; i < 500; ++i) {
        values.push_back(c - 0.1);
        values.push_back(c + 0.1);
    }
    return values;
}

/// r: NIST StRD certified values, tolerances of NumAcc3 and NumAcc4 as far as the stored doubles
/// allow. Ljung-Box: NumPy; Lew and Michelso also R Box.test and statsmodels.
std::vector<LagRow> lagRows()
{
    using namespace reference;
    return {
        {"Lew", asDoubles(lew), -0.307304800605679, 1e-12, 0.138590382435, 19.1719804784,
            1.19453986160e-05},
        {"Michelso", asDoubles(michelso), 0.535199668621283, 1e-12, 0.195996398454, 29.5118645453,
            5.55754504e-08},
        {"Lottery", asDoubles(lottery), -0.120948622967393, 1e-12, 0.132745511175, 3.23311607518,
            0.0721632565662},
        {"Mavro", asDoubles(mavro), 0.937989183438248, 1e-12, 0.277180764870, 46.684523295,
            8.33849588e-12},
        {"Sulfate", sulfate, 0.625275014092, 5e-13, 0.408680741809, 10.2185038576,
            0.00139038594424},
        {"NumAcc1", {10000001, 10000003, 10000002}, -0.5, 1e-12, 0.0, 0.0, 0.0},
        {"NumAcc2", numAcc(1.2), -0.999, 1e-12, 0.0, 0.0, 0.0},
        {"NumAcc3", numAcc(1000000.2), -0.999, 1e-9, 0.0, 0.0, 0.0},
        {"NumAcc4", numAcc(10000000.2), -0.999, 1e-8, 0.0, 0.0, 0.0},
    };
}

class LagTable : public ::testing::TestWithParam<LagRow>
{
};

TEST_P(LagTable, MatchesCertifiedValues)
{
    const LagRow& row = GetParam();
    const auto lag = lagOneAutocorrelation(row.values);
    ASSERT_TRUE(lag);
    EXPECT_NEAR(lag->r, row.r, row.rTolerance);
    if (row.band > 0.0) {
        EXPECT_NEAR(lag->band, row.band, 5e-13);
        EXPECT_NEAR(lag->ljungBox, row.ljungBox, 5e-9);
        EXPECT_NEAR(lag->pValue, row.pValue, row.pValue * 1e-8 + 5e-13);
    }
}

INSTANTIATE_TEST_SUITE_P(
    Nist, LagTable, ::testing::ValuesIn(lagRows()), [](const auto& row) { return row.param.name; });

TEST(LagOneAutocorrelation, EqualOrFewValuesHaveNone)
{
    EXPECT_FALSE(lagOneAutocorrelation(std::vector<double>(12, 25.0)).has_value());
    EXPECT_FALSE(lagOneAutocorrelation(std::vector<double> {1, 2}).has_value());
}

} // namespace
} // namespace twinlamp::stats

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/moments.h"
#include "tests/reference/nist_univariate.h"

#include <cmath>
#include <gtest/gtest.h>
#include <ostream>
#include <string>
#include <vector>

namespace twinlamp::stats {
namespace {

struct CertifiedSet
{
    std::string name;
    std::vector<double> values;
    double mean;
    double sd;
    double sdTolerance; ///< relative
};

void PrintTo(const CertifiedSet& set, std::ostream* out) { *out << set.name; }

template<std::size_t N>
std::vector<double> scaled(const std::array<int, N>& integers, double offset, double divisor)
{
    std::vector<double> values;
    for (const int k : integers) {
        values.push_back(offset + k / divisor);
    }
    return values;
}

/// The generating rule of NumAcc2 to NumAcc4: c, then 500 times c - 0.1, c + 0.1.
std::vector<double> numAcc(double c)
{
    std::vector<double> values {c};
    for (int i = 0; i < 500; ++i) {
        values.push_back(c - 0.1);
        values.push_back(c + 0.1);
    }
    return values;
}

/// Certified values: NIST StRD, univariate summary statistics, one file a set. The tolerances of
/// NumAcc3 and NumAcc4 are what the stored doubles allow: their decimals are not representable, and
/// exact arithmetic on the doubles gives 0.10000000003492 and 0.10000000055879.
std::vector<CertifiedSet> certifiedSets()
{
    using namespace reference;
    return {
        {"Michelso", scaled(michelso, 299.0, 1e3), 299.852400000000, 0.0790105478190518, 1e-12},
        {"Mavro", scaled(mavro, 2.0, 1e5), 2.00185600000000, 0.000429123454003053, 1e-10},
        {"Lew", scaled(lew, 0.0, 1.0), -177.435000000000, 277.332168044316, 1e-12},
        {"Lottery", scaled(lottery, 0.0, 1.0), 518.958715596330, 291.699727470969, 1e-12},
        {"NumAcc1", {10000001, 10000003, 10000002}, 10000002.0, 1.0, 1e-12},
        {"NumAcc2", numAcc(1.2), 1.2, 0.1, 1e-12},
        {"NumAcc3", numAcc(1000000.2), 1000000.2, 0.1, 1e-9},
        {"NumAcc4", numAcc(10000000.2), 10000000.2, 0.1, 1e-8},
    };
}

class CertifiedMoments : public ::testing::TestWithParam<CertifiedSet>
{
};

TEST_P(CertifiedMoments, MeanAndDeviationMatch)
{
    const CertifiedSet& set = GetParam();
    EXPECT_NEAR(mean(set.values).value(), set.mean, std::abs(set.mean) * 1e-14 + 1e-12);
    EXPECT_NEAR(standardDeviation(set.values).value(), set.sd, set.sd * set.sdTolerance);
}

INSTANTIATE_TEST_SUITE_P(Nist, CertifiedMoments, ::testing::ValuesIn(certifiedSets()),
    [](const auto& row) { return row.param.name; });

TEST(StandardDeviation, OneValueHasNone)
{
    EXPECT_FALSE(standardDeviation(std::vector<double> {25.0}).has_value());
    EXPECT_FALSE(standardDeviation({}).has_value());
}

TEST(Mean, NoValueHasNone) { EXPECT_FALSE(mean({}).has_value()); }

TEST(StandardDeviation, NeverNegativeUnderRounding)
{
    // Equal values whose mean is not representable: the one-pass formula goes below zero here.
    const std::vector<double> values(7, 1e9 + 0.1);
    EXPECT_GE(sumOfSquaredDeviations(values), 0.0);
    EXPECT_NEAR(standardDeviation(values).value(), 0.0, 1e-6);
}

} // namespace
} // namespace twinlamp::stats

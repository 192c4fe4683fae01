// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/plan/plan.h"
#include "core/stats/proportion.h"

#include <array>
#include <gtest/gtest.h>
#include <ostream>
#include <vector>

namespace twinlamp::stats {
namespace {

struct LimitsRow
{
    double confidence;
    double coverage;
    std::int64_t oneSided;
    std::int64_t twoSided;
};

void PrintTo(const LimitsRow& row, std::ostream* out)
{
    *out << row.confidence << " of " << row.coverage;
}

/// R 4.2.2 pbinom = SciPy 1.10 beta.sf; the middle block also Boost.Math ibetac, and the 95 %
/// entries of 0.5, 0.75, 0.8, 0.9, 0.95 in the EnvStats help of tolIntNparN.
const std::vector<LimitsRow> limitsRows {
    {0.9, 0.5, 4, 7},
    {0.9, 0.75, 9, 15},
    {0.9, 0.8, 11, 18},
    {0.9, 0.9, 22, 38},
    {0.9, 0.95, 45, 77},
    {0.9, 0.98, 114, 194},
    {0.9, 0.99, 230, 388},
    {0.9, 0.995, 460, 777},
    {0.9, 0.999, 2302, 3889},
    {0.95, 0.5, 5, 8},
    {0.95, 0.75, 11, 18},
    {0.95, 0.8, 14, 22},
    {0.95, 0.9, 29, 46},
    {0.95, 0.95, 59, 93},
    {0.95, 0.98, 149, 236},
    {0.95, 0.99, 299, 473},
    {0.95, 0.995, 598, 947},
    {0.95, 0.999, 2995, 4742},
    {0.99, 0.5, 7, 11},
    {0.99, 0.75, 17, 24},
    {0.99, 0.8, 21, 31},
    {0.99, 0.9, 44, 64},
    {0.99, 0.95, 90, 130},
    {0.99, 0.98, 228, 330},
    {0.99, 0.99, 459, 662},
    {0.99, 0.995, 919, 1325},
    {0.99, 0.999, 4603, 6636},
    {0.999, 0.5, 10, 14},
    {0.999, 0.75, 25, 33},
    {0.999, 0.8, 31, 42},
    {0.999, 0.9, 66, 89},
    {0.999, 0.95, 135, 181},
    {0.999, 0.98, 342, 458},
    {0.999, 0.99, 688, 920},
    {0.999, 0.995, 1379, 1843},
    {0.999, 0.999, 6905, 9230},
};

class LimitsTable : public ::testing::TestWithParam<LimitsRow>
{
};

TEST_P(LimitsTable, CountsMatch)
{
    const LimitsRow& row = GetParam();
    const auto one = limitsPlan({row.coverage, row.confidence, 1});
    const auto two = limitsPlan({row.coverage, row.confidence, 2});
    ASSERT_TRUE(one && two);
    EXPECT_EQ(one->presses, row.oneSided);
    EXPECT_EQ(two->presses, row.twoSided);
    EXPECT_GE(one->reached, row.confidence);
    EXPECT_LT(limitsConfidence(one->presses - 1, row.coverage, 1), row.confidence);
    EXPECT_LT(limitsConfidence(two->presses - 1, row.coverage, 2), row.confidence);
}

INSTANTIATE_TEST_SUITE_P(RandSciPy, LimitsTable, ::testing::ValuesIn(limitsRows));

TEST(LimitsPlan, ByExtremesUsedUp)
{
    // R pbinom, 95 % confidence.
    const std::array<std::int64_t, 10> p95 {59, 93, 124, 153, 181, 208, 234, 260, 286, 311};
    const std::array<std::int64_t, 6> p99 {299, 473, 628, 773, 913, 1049};
    const std::array<std::int64_t, 6> p90 {29, 46, 61, 76, 89, 103};
    for (std::size_t k = 0; k < p95.size(); ++k) {
        EXPECT_EQ(limitsPlan({0.95, 0.95, static_cast<std::int64_t>(k + 1)})->presses, p95[k]);
    }
    for (std::size_t k = 0; k < p99.size(); ++k) {
        EXPECT_EQ(limitsPlan({0.99, 0.95, static_cast<std::int64_t>(k + 1)})->presses, p99[k]);
        EXPECT_EQ(limitsPlan({0.90, 0.95, static_cast<std::int64_t>(k + 1)})->presses, p90[k]);
    }
}

TEST(LimitsPlan, OtherConfidencesAsPublished)
{
    // EnvStats help of tolIntNparN: two-sided, P = 0.95, gamma 0.5 to 0.9; gamma 0.95, P 0.5 to
    // 0.9.
    const std::array<double, 5> gammas {0.5, 0.6, 0.7, 0.8, 0.9};
    const std::array<std::int64_t, 5> byGamma {34, 40, 49, 59, 77};
    const std::array<std::int64_t, 5> byCoverage {8, 10, 14, 22, 46};
    for (std::size_t i = 0; i < gammas.size(); ++i) {
        EXPECT_EQ(limitsPlan({0.95, gammas[i], 2})->presses, byGamma[i]);
        EXPECT_EQ(limitsPlan({gammas[i], 0.95, 2})->presses, byCoverage[i]);
    }
}

TEST(LimitsConfidence, InverseQuestions)
{
    // EnvStats helps tolIntNparConfLevel and tolIntNpar; full digits R.
    EXPECT_NEAR(limitsConfidence(24, 0.95), 0.708010975661, 1e-11);
    EXPECT_NEAR(limitsConfidence(20, 0.90, 2), 0.608253001875, 1e-11);
    const std::array<double, 6> twoSided {
        0.086138, 0.264160, 0.446458, 0.600936, 0.720568, 0.808447};
    const std::array<double, 5> byRank {
        0.808446625265, 0.58256423134, 0.352718988399, 0.180335056193, 0.0787192645767};
    for (std::size_t i = 0; i < twoSided.size(); ++i) {
        const auto n = static_cast<std::int64_t>(10 * (i + 1));
        EXPECT_NEAR(limitsConfidence(n, 0.95, 2), twoSided[i], 5e-7);
    }
    for (std::size_t i = 0; i < byRank.size(); ++i) {
        const auto rank = static_cast<std::int64_t>(i);
        EXPECT_NEAR(limitsConfidence(60, 0.95, 2 + rank), byRank[i], 1e-10);
    }
    EXPECT_NEAR(limitsConfidence(58, 0.95), 0.948953131316, 1e-11);
    EXPECT_NEAR(limitsConfidence(59, 0.95), 0.951505474751, 1e-11);
    EXPECT_NEAR(limitsConfidence(92, 0.95, 2), 0.947863597068, 1e-11);
    EXPECT_NEAR(limitsConfidence(93, 0.95, 2), 0.950024204757, 1e-11);
    EXPECT_EQ(limitsConfidence(1, 0.95, 2), 0.0);
}

TEST(LimitsCoverage, InverseQuestions)
{
    // EnvStats help tolIntNparCoverage: 0.8826538 = 0.05^(1/24); two-sided by SciPy.
    EXPECT_NEAR(limitsCoverage(24), 0.882653843845, 1e-11);
    const std::array<double, 6> twoSided {0.605836697563, 0.783893835793, 0.851403931341,
        0.886811639055, 0.90860186928, 0.923360005065};
    for (std::size_t i = 0; i < twoSided.size(); ++i) {
        EXPECT_NEAR(
            limitsCoverage(static_cast<std::int64_t>(10 * (i + 1)), 0.95, 2), twoSided[i], 1e-10);
    }
    EXPECT_EQ(limitsCoverage(1, 0.95, 2), 0.0);
}

struct LateRow
{
    double share;
    double confidence;
    std::array<std::int64_t, 6> presses; ///< with 0 to 5 late ones seen
};

TEST(LatePlan, CountsMatch)
{
    // R pbinom: smallest n with P(Bin(n, share) <= c) <= 1 - confidence.
    const std::vector<LateRow> rows {
        {0.01, 0.90, {230, 388, 531, 667, 798, 926}},
        {0.01, 0.95, {299, 473, 628, 773, 913, 1049}},
        {0.01, 0.99, {459, 662, 838, 1001, 1157, 1307}},
        {0.02, 0.95, {149, 236, 313, 386, 456, 523}},
        {0.05, 0.90, {45, 77, 105, 132, 158, 184}},
        {0.05, 0.95, {59, 93, 124, 153, 181, 208}},
        {0.05, 0.99, {90, 130, 165, 198, 229, 259}},
        {0.10, 0.95, {29, 46, 61, 76, 89, 103}},
    };
    for (const LateRow& row : rows) {
        for (std::size_t seen = 0; seen < row.presses.size(); ++seen) {
            const auto plan
                = latePlan({row.share, row.confidence, static_cast<std::int64_t>(seen)});
            ASSERT_TRUE(plan);
            EXPECT_EQ(plan->presses, row.presses[seen]) << row.share << " " << row.confidence;
            EXPECT_GE(plan->reached, row.confidence);
        }
    }
}

TEST(LatePlan, IsTheOneSidedIntervalTurnedRound)
{
    // A two-sided 90 % interval has the one-sided 95 % upper limit as its upper end.
    for (const std::int64_t seen : {0, 1, 4}) {
        const std::int64_t presses = latePlan({0.05, 0.95, seen})->presses;
        EXPECT_LE(clopperPearson({seen, presses}, 0.9).high, 0.05);
        EXPECT_GT(clopperPearson({seen, presses - 1}, 0.9).high, 0.05);
    }
}

TEST(LatePlan, RefusesWhatNoPressesTell)
{
    EXPECT_EQ(latePlan({0.0, 0.95, 0}).error().why, Cause::InvalidValue);
    EXPECT_EQ(latePlan({1.0, 0.95, 0}).error().why, Cause::InvalidValue);
    EXPECT_EQ(latePlan({0.05, 1.0, 0}).error().why, Cause::InvalidValue);
    EXPECT_EQ(latePlan({0.05, 0.95, -1}).error().why, Cause::InvalidValue);
    EXPECT_EQ(latePlan({1e-9, 0.95, 0}).error().why, Cause::InvalidValue);
    EXPECT_EQ(latePlan({std::numeric_limits<double>::quiet_NaN(), 0.95, 0}).error().detail,
        "the late share is nan; it has to lie between 0 and 1");
}

TEST(Plans, EveryAssumptionIsASentence)
{
    for (const auto& plan : {latePlan({}), limitsPlan({}), limitsPlan({0.9, 0.9, 2}),
             limitsPlan({0.9, 0.9, 5}), widthPlan({8.0, 1.0, 0.95, Centre::Mean}),
             widthPlan({8.0, 1.0, 0.95, Centre::Median}), differencePlan({8.0, 4.0, 0.8, 0.95})}) {
        ASSERT_TRUE(plan);
        EXPECT_GE(plan->assumptions.size(), 3U);
        for (const Sentence& sentence : plan->assumptions) {
            EXPECT_NE(english(sentence), sentence.id);
            EXPECT_EQ(english(sentence).find('{'), std::string::npos) << sentence.id;
        }
    }
}

} // namespace
} // namespace twinlamp::stats

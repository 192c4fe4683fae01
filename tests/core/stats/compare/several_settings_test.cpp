// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/rank_shift.h"
#include "core/stats/compare/several_settings.h"
#include "tests/reference/compared_samples.h"

#include <gtest/gtest.h>

namespace twinlamp::stats {
namespace {

TEST(KruskalWallis, PublishedSets)
{
    // R kruskal.test and SciPy; ozone 29.267, 6.901e-06 in R's help.
    const auto mucus = kruskalWallis(reference::mucociliary);
    ASSERT_TRUE(mucus);
    EXPECT_NEAR(mucus->h, 0.771428571429, 5e-13);
    EXPECT_EQ(mucus->degrees, 2.0);
    EXPECT_NEAR(mucus->pValue, 0.679964773579, 5e-12);
    const auto ozone = kruskalWallis(reference::ozoneByMonth);
    EXPECT_NEAR(ozone->h, 29.2665763061, 5e-11);
    EXPECT_EQ(ozone->degrees, 4.0);
    EXPECT_NEAR(ozone->pValue, 6.90071412e-06, 5e-14);
    const auto sprays = kruskalWallis(reference::insectSprays);
    EXPECT_NEAR(sprays->h, 54.6913446224, 5e-11);
    EXPECT_EQ(sprays->degrees, 5.0);
    EXPECT_NEAR(sprays->pValue, 1.51084443942e-10, 2e-18);
}

TEST(KruskalWallis, NothingToRankHasNone)
{
    EXPECT_FALSE(kruskalWallis(reference::Groups {{1, 1}, {1}}).has_value());
    EXPECT_FALSE(kruskalWallis(reference::Groups {{1, 2}, {}}).has_value());
}

void expectAdjusted(const std::vector<double>& raw, const std::vector<double>& adjusted)
{
    const auto holm = holmAdjusted(raw);
    ASSERT_EQ(holm.size(), adjusted.size());
    for (std::size_t i = 0; i < holm.size(); ++i) {
        EXPECT_NEAR(holm[i], adjusted[i], 1e-12) << i;
    }
}

TEST(Holm, PublishedSets)
{
    // R p.adjust and statsmodels; the first set is that of Benjamini & Hochberg (1995).
    expectAdjusted({.0001, .0004, .0019, .0095, .0201, .0278, .0298, .0344, .0459, .3240, .4262,
                       .5719, .6528, .7590, 1.0},
        {.0015, .0056, .0247, .1140, .2211, .2780, .2780, .2780, .3213, 1, 1, 1, 1, 1, 1});
    expectAdjusted({.01, .04, .03, .005}, {.03, .06, .06, .02});
    expectAdjusted({.01, .02, .03, .04, .05}, {.05, .08, .09, .09, .09});
    expectAdjusted({.02, .02, .5, .001}, {.06, .06, .5, .004});
    expectAdjusted({}, {});
}

TEST(Holm, PairsOfMonths)
{
    // R pairwise.wilcox.test(exact = FALSE): 5-6, 5-7, 5-8, 5-9, 6-7, 6-8, 6-9, 7-8, 7-9, 8-9.
    const std::vector<double> raw {0.1925016477, 2.996389586e-05, 0.0001208078308, 0.1185930834,
        0.01413624695, 0.02590776092, 0.95886876738, 0.8619511229404, 0.0007442604207,
        0.003247955048};
    const std::vector<double> holm {0.57750494318, 0.00029963896, 0.00108727048, 0.47437233359,
        0.084817482, 0.129538805, 1, 1, 0.0059540834, 0.022735685};
    std::vector<double> found;
    const auto& months = reference::ozoneByMonth;
    for (std::size_t i = 0; i < months.size(); ++i) {
        for (std::size_t j = i + 1; j < months.size(); ++j) {
            found.push_back(mannWhitneyNormal({months[i], months[j]}));
        }
    }
    const auto adjusted = holmAdjusted(found);
    for (std::size_t k = 0; k < raw.size(); ++k) {
        EXPECT_NEAR(found[k], raw[k], raw[k] * 1e-8) << k;
        EXPECT_NEAR(adjusted[k], holm[k], holm[k] * 1e-8 + 5e-10) << k; // half a printed digit
    }
}

} // namespace
} // namespace twinlamp::stats

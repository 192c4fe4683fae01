// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/wire_names.h"

#include <gtest/gtest.h>
#include <set>

namespace twinlamp {
namespace {

template<typename Enumeration> class WireNamesOf : public ::testing::Test
{
};

using Enumerations = ::testing::Types<Edge, RateSource, ExposureSource, RegionSource, ScanMode,
    SweepDirection, measure::EdgeChoice, UncertaintySource>;
TYPED_TEST_SUITE(WireNamesOf, Enumerations);

TYPED_TEST(WireNamesOf, AreDistinctAndReadBack)
{
    std::set<std::string_view> names;
    for (const auto& [value, name] : WireNames<TypeParam>::all) {
        EXPECT_TRUE(names.insert(name).second) << name;
        EXPECT_EQ(wireName(value), name);
        EXPECT_EQ(fromWireName<TypeParam>(name), value);
    }
    EXPECT_EQ(fromWireName<TypeParam>(""), std::nullopt);
    EXPECT_EQ(fromWireName<TypeParam>("ON"), std::nullopt);
}

TYPED_TEST(WireNamesOf, EveryValueHasOne)
{
    // Values count up from 0: a new one without a name would stop the program when it is stored.
    for (std::size_t i = 0; i < WireNames<TypeParam>::all.size(); ++i) {
        EXPECT_FALSE(wireName(static_cast<TypeParam>(i)).empty()) << i;
    }
}

} // namespace
} // namespace twinlamp

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/press_rows.h"
#include "core/session/store/sql_row.h"

#include <gtest/gtest.h>
#include <limits>

namespace twinlamp::session::store {
namespace {

TEST(PartsText, IsReadBackToTheLastBit)
{
    const std::vector<UncertaintyPart> parts {
        {UncertaintySource::ReferenceOnset, 1.0 / 3.0, false},
        {UncertaintySource::CaptureRate, std::numeric_limits<double>::denorm_min(), true},
        {UncertaintySource::HandCorrection, 0.0, false},
        {UncertaintySource::FirstLight, 0.25, false, 7.0 / 3.0},
    };
    EXPECT_EQ(partsFrom(partsText(parts)), parts);
    EXPECT_TRUE(partsFrom(partsText({})).empty());
}

TEST(PartsText, SaysSourceAndWhetherItIsCommon)
{
    EXPECT_EQ(partsText({{UncertaintySource::FirstLight, 0.03125, false},
                  {UncertaintySource::CaptureRate, 0.5, true, 12.5}}),
        "first-light=0.03125 common:capture-rate=0.5/12.5");
}

TEST(PartsFrom, NonsenseIsDamage)
{
    EXPECT_THROW(static_cast<void>(partsFrom("moonlight=0.5")), DamagedSession);
    EXPECT_THROW(static_cast<void>(partsFrom("first-light")), DamagedSession);
    EXPECT_THROW(static_cast<void>(partsFrom("first-light=0,5")), DamagedSession);
    EXPECT_THROW(static_cast<void>(partsFrom("first-light=0.5/many")), DamagedSession);
}

} // namespace
} // namespace twinlamp::session::store

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/memory_budget.h"

#include <atomic>
#include <chrono>
#include <gtest/gtest.h>
#include <thread>
#include <vector>

namespace twinlamp::measure {
namespace {

TEST(MemoryBudget, GrantsUpToTheWhole)
{
    MemoryBudget budget(100);
    auto first = budget.take(60, {});
    const auto second = budget.take(40, {});
    ASSERT_TRUE(first && second);
    EXPECT_EQ(budget.taken(), 100);
    first.reset();
    EXPECT_EQ(budget.taken(), 40);
}

TEST(MemoryBudget, OneAloneMayTakeMore)
{
    MemoryBudget budget(100);
    {
        const auto large = budget.take(1000, {});
        EXPECT_TRUE(large);
    }
    EXPECT_EQ(budget.taken(), 0);
}

TEST(MemoryBudget, WhatDoesNotFitWaitsUntilItDoes)
{
    MemoryBudget budget(100);
    auto first = budget.take(80, {});
    std::atomic<bool> isThere {false};
    std::jthread waiting([&] {
        const auto second = budget.take(50, {});
        isThere = second.has_value();
    });
    // Were it granted beside the first, it would be there by now.
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
    EXPECT_FALSE(isThere);
    first.reset();
    waiting.join();
    EXPECT_TRUE(isThere);
    EXPECT_EQ(budget.taken(), 0);
}

TEST(MemoryBudget, AStopEndsTheWait)
{
    MemoryBudget budget(100);
    const auto first = budget.take(80, {});
    std::stop_source stop;
    bool granted = true;
    std::jthread waiting([&] { granted = budget.take(50, stop.get_token()).has_value(); });
    stop.request_stop();
    waiting.join();
    EXPECT_FALSE(granted);
    EXPECT_EQ(budget.taken(), 80);
}

TEST(MemoryBudget, ManyThreadsNeverHoldMoreThanTheWhole)
{
    MemoryBudget budget(100);
    std::atomic<bool> isExceeded {false};
    {
        std::vector<std::jthread> threads;
        for (int i = 0; i < 8; ++i) {
            threads.emplace_back([&, i] {
                for (int round = 0; round < 200; ++round) {
                    const auto share = budget.take(10 + 7 * i, {});
                    isExceeded = isExceeded || budget.taken() > 100;
                }
            });
        }
    }
    EXPECT_FALSE(isExceeded);
    EXPECT_EQ(budget.taken(), 0);
}

TEST(MemoryBudget, OfThisProcessIsOne)
{
    EXPECT_EQ(&scanMemoryBudget(), &scanMemoryBudget());
    EXPECT_EQ(scanMemoryBudget().taken(), 0);
}

} // namespace
} // namespace twinlamp::measure

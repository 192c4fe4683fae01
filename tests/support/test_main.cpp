// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/support/log_guard.h"

#include <gtest/gtest.h>

int main(int argc, char** argv)
{
    ::testing::InitGoogleTest(&argc, argv);
    twinlamp::tests::installLogGuard();
    return RUN_ALL_TESTS();
}

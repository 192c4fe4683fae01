// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace twinlamp::tests {

/// Fails the running test for every spdlog error that no ExpectedLogErrors is waiting for.
void installLogGuard();

/// While it lives, errors in the log are part of the test and do not fail it.
class ExpectedLogErrors
{
public:
    ExpectedLogErrors();
    ~ExpectedLogErrors();
    ExpectedLogErrors(const ExpectedLogErrors&) = delete;
    ExpectedLogErrors& operator=(const ExpectedLogErrors&) = delete;
};

} // namespace twinlamp::tests

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <functional>
#include <string>
#include <vector>

namespace twinlamp::bench {

/// What something cost.
struct Cost
{
    double seconds = 0.0; ///< on the clock
    double cpuSeconds = 0.0; ///< user and system, all threads
    double peakMib = 0.0; ///< largest resident set; of a process of its own only
    bool succeeded = false;
};

/// Runs a program found in PATH and waits for it.
[[nodiscard]] Cost costOfProgram(const std::vector<std::string>& words);

/// Runs `work` in a process of its own, so that its peak of memory is its alone. @pre no other
/// thread runs
[[nodiscard]] Cost costInProcess(const std::function<bool()>& work);

/// Runs `work` here. No peak of memory.
[[nodiscard]] Cost costOf(const std::function<bool()>& work);

} // namespace twinlamp::bench

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace twinlamp::tests {

/// How a program that ran as a process of its own ended.
struct ProgramRun
{
    std::optional<int> status; ///< exit status; empty where a signal ended it
    int endedBySignal = 0;
    std::string out;
    std::string err;
    /// From the signal to the end; zero where none was sent.
    std::chrono::milliseconds afterSignal {0};
};

struct ProgramOptions
{
    /// Set on top of the environment of the test.
    std::vector<std::pair<std::string, std::string>> environment;
    std::filesystem::path workingFolder;
    /// Sent once `signalWhen` says so (asked every few ms).
    int signal = 0;
    std::function<bool()> signalWhen;
    /// Standard output goes to a pipe whose reader is gone.
    bool closedOutput = false;
    std::chrono::seconds longest {120};
};

/// Runs a program without a shell and reads both of its streams to their ends. A run longer than
/// `longest` is killed and comes back as ended by a signal.
[[nodiscard]] ProgramRun runProgram(const std::filesystem::path& program,
    const std::vector<std::string>& arguments, const ProgramOptions& options = {});

} // namespace twinlamp::tests

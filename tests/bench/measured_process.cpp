// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/bench/measured_process.h"

#include <chrono>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

namespace twinlamp::bench {

namespace {

using Clock = std::chrono::steady_clock;

double secondsSince(Clock::time_point start)
{
    return std::chrono::duration<double>(Clock::now() - start).count();
}

double cpuOf(const rusage& usage)
{
    const auto seconds = [](const timeval& time) {
        return static_cast<double>(time.tv_sec) + static_cast<double>(time.tv_usec) * 1e-6;
    };
    return seconds(usage.ru_utime) + seconds(usage.ru_stime);
}

/// `child` runs in the new process and returns its exit status.
Cost costOfChild(const std::function<int()>& child)
{
    const auto start = Clock::now();
    const pid_t process = ::fork();
    if (process == 0) {
        ::_exit(child());
    }
    Cost cost;
    int status = 0;
    rusage usage {};
    if (process < 0 || ::wait4(process, &status, 0, &usage) != process) {
        return cost;
    }
    constexpr double kibPerMib = 1024.0;
    cost.seconds = secondsSince(start);
    cost.cpuSeconds = cpuOf(usage);
    cost.peakMib = static_cast<double>(usage.ru_maxrss) / kibPerMib;
    cost.succeeded = WIFEXITED(status) && WEXITSTATUS(status) == 0;
    return cost;
}

} // namespace

Cost costOfProgram(const std::vector<std::string>& words)
{
    return costOfChild([&words] {
        std::vector<char*> arguments;
        for (const std::string& word : words) {
            arguments.push_back(const_cast<char*>(word.c_str())); // NOLINT: execvp's signature
        }
        arguments.push_back(nullptr);
        ::execvp(arguments.front(), arguments.data());
        return 127;
    });
}

Cost costInProcess(const std::function<bool()>& work)
{
    return costOfChild([&work] { return work() ? 0 : 1; });
}

Cost costOf(const std::function<bool()>& work)
{
    rusage before {};
    rusage after {};
    Cost cost;
    ::getrusage(RUSAGE_SELF, &before);
    const auto start = Clock::now();
    cost.succeeded = work();
    cost.seconds = secondsSince(start);
    ::getrusage(RUSAGE_SELF, &after);
    cost.cpuSeconds = cpuOf(after) - cpuOf(before);
    return cost;
}

} // namespace twinlamp::bench

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/commands/command.h"
#include "core/base/job_control.h"

#include <chrono>
#include <mutex>
#include <string>

namespace twinlamp::commands {

/// One line on the terminal that tells how far a job is, wiped when the job is over.
/// Silent where the context shows no progress. Safe on any thread.
class ProgressLine
{
public:
    /// @param label  what is being done and in which unit, for example "measuring clip.mp4, frames"
    /// @param quiet  nothing is shown before the job has lasted so long
    ProgressLine(const CommandContext& context, std::string label,
        std::chrono::milliseconds quiet = std::chrono::milliseconds::zero());
    ~ProgressLine();
    ProgressLine(const ProgressLine&) = delete;
    ProgressLine& operator=(const ProgressLine&) = delete;

    /// Stop token of the context together with this line's report.
    [[nodiscard]] JobControl control();

private:
    void show(std::int64_t done, std::int64_t total);

    const CommandContext& m_context;
    std::string m_label;
    std::mutex m_mutex;
    std::chrono::steady_clock::time_point m_from; ///< nothing is shown before
    std::chrono::steady_clock::time_point m_lastShown;
    bool m_shown = false;
};

} // namespace twinlamp::commands

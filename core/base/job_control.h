// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <functional>
#include <stop_token>

namespace twinlamp {

/// How a long job hears of a stop and tells how far it is. Copies share the same stop and report.
struct JobControl
{
    /// done and total in the job's own unit (frames, bytes); total 0 is unknown. Called from worker
    /// threads.
    using ProgressFn = std::function<void(std::int64_t done, std::int64_t total)>;

    std::stop_token stop;
    ProgressFn report;

    /// Call once per frame. Returns false when the job was asked to stop.
    [[nodiscard]] bool tick(std::int64_t done, std::int64_t total) const
    {
        if (report) {
            report(done, total);
        }
        return !stop.stop_requested();
    }

    [[nodiscard]] bool stopRequested() const { return stop.stop_requested(); }
};

} // namespace twinlamp

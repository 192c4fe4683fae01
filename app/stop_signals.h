// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <stop_token>
#include <thread>

namespace twinlamp::app {

/// Turns the first SIGINT or SIGTERM into a stop request; the second one ends the process at once,
/// as the system does by itself. Make one, before any other thread is started.
class StopSignals
{
public:
    StopSignals();
    ~StopSignals();
    StopSignals(const StopSignals&) = delete;
    StopSignals& operator=(const StopSignals&) = delete;

    [[nodiscard]] std::stop_token token() const { return m_stop.get_token(); }

    /// SIGINT or SIGTERM where one has come, else 0.
    [[nodiscard]] static int received();

private:
    std::stop_source m_stop;
    std::thread m_watcher;
};

} // namespace twinlamp::app

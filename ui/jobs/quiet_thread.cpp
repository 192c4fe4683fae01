// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/jobs/quiet_thread.h"

#include <QThreadPool>

#include <sys/resource.h>
#include <thread>
#include <unistd.h>

namespace twinlamp::ui {

void runQuietly(QThreadPool& pool, const std::function<void()>& work)
{
    pool.releaseThread();
    std::thread([&work] {
        constexpr int lowestPriority = 19;
        // On Linux a thread has a priority of its own, and hands it on to those that it starts.
        ::setpriority(PRIO_PROCESS, static_cast<id_t>(::gettid()), lowestPriority);
        work();
    }).join();
    pool.reserveThread();
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/stop_signals.h"

#include <array>
#include <atomic>
#include <cerrno>
#include <csignal>
#include <fcntl.h>
#include <unistd.h>

namespace twinlamp::app {

namespace {

// A handler may touch only lock-free atomics and write(): the pipe carries the news to a thread
// that may do more.
std::array<int, 2> newsPipe {-1, -1};
std::atomic<int> firstSignal {0};
static_assert(std::atomic<int>::is_always_lock_free);
constexpr char signalNews = 's';
constexpr char goodbye = 'q';

void onSignal(int number)
{
    const int savedErrno = errno;
    firstSignal.store(number);
    [[maybe_unused]] const ssize_t written = ::write(newsPipe[1], &signalNews, 1);
    errno = savedErrno;
}

void handle(int number)
{
    struct sigaction action
    {
    };

    // A shell that starts a job in the background has it ignore SIGINT: keep that.
    if (::sigaction(number, nullptr, &action) == 0 && action.sa_handler == SIG_IGN) {
        return;
    }
    action = {};
    action.sa_handler = onSignal;
    action.sa_flags = SA_RESTART | static_cast<int>(SA_RESETHAND);
    sigemptyset(&action.sa_mask);
    ::sigaction(number, &action, nullptr);
}

} // namespace

StopSignals::StopSignals()
{
    if (::pipe2(newsPipe.data(), O_CLOEXEC) != 0) {
        return; // Without the pipe a signal ends the process at once, which loses nothing.
    }
    m_watcher = std::thread([this] {
        char news = 0;
        while (::read(newsPipe[0], &news, 1) == 1 && news == signalNews) {
            m_stop.request_stop();
        }
    });
    handle(SIGINT);
    handle(SIGTERM);
}

StopSignals::~StopSignals()
{
    if (!m_watcher.joinable()) {
        return;
    }
    std::signal(SIGINT, SIG_DFL);
    std::signal(SIGTERM, SIG_DFL);
    [[maybe_unused]] const ssize_t written = ::write(newsPipe[1], &goodbye, 1);
    m_watcher.join();
    ::close(newsPipe[0]);
    ::close(newsPipe[1]);
}

int StopSignals::received() { return firstSignal.load(); }

} // namespace twinlamp::app

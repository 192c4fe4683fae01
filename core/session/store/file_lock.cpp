// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/file_lock.h"

#include <algorithm>
#include <cerrno>
#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <system_error>
#include <thread>
#include <unistd.h>
#include <utility>

namespace twinlamp::session::store {

namespace {

namespace fs = std::filesystem;

/// Whether the descriptor is still the file of that name: the holder before us may have removed it
/// between our open and our lock.
bool isStill(int descriptor, const fs::path& file)
{
    struct stat ours
    {
    };

    struct stat named
    {
    };

    return ::fstat(descriptor, &ours) == 0 && ::stat(file.c_str(), &named) == 0
        && ours.st_dev == named.st_dev && ours.st_ino == named.st_ino;
}

enum class Attempt
{
    Taken,
    Held,
    Again,
    Failed
};

struct Tried
{
    Attempt attempt = Attempt::Failed;
    int descriptor = -1;
    int code = 0;
};

Tried tryOnce(const fs::path& file)
{
    const int descriptor = ::open(file.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0666);
    if (descriptor < 0) {
        return {Attempt::Failed, -1, errno};
    }
    if (::flock(descriptor, LOCK_EX | LOCK_NB) != 0) {
        const int code = errno;
        ::close(descriptor);
        const bool held = code == EWOULDBLOCK || code == EINTR;
        return {held ? Attempt::Held : Attempt::Failed, -1, code};
    }
    if (!isStill(descriptor, file)) {
        ::close(descriptor);
        return {Attempt::Again, -1, 0};
    }
    return {Attempt::Taken, descriptor, 0};
}

} // namespace

FileLock::FileLock(fs::path file, int descriptor)
    : m_file(std::move(file))
    , m_descriptor(descriptor)
{
}

FileLock::FileLock(FileLock&& other) noexcept
    : m_file(std::move(other.m_file))
    , m_descriptor(std::exchange(other.m_descriptor, -1))
{
}

FileLock& FileLock::operator=(FileLock&& other) noexcept
{
    if (this != &other) {
        release();
        m_file = std::move(other.m_file);
        m_descriptor = std::exchange(other.m_descriptor, -1);
    }
    return *this;
}

FileLock::~FileLock() { release(); }

void FileLock::release()
{
    if (m_descriptor >= 0) {
        // Removed while the lock is held: who waits for it then finds that the name is gone.
        ::unlink(m_file.c_str());
        ::close(std::exchange(m_descriptor, -1));
    }
}

Result<FileLock> FileLock::take(
    const fs::path& sessionFile, std::chrono::milliseconds wait, const std::stop_token& stop)
{
    using Clock = std::chrono::steady_clock;
    const fs::path file = sessionFile.string() + "-lock";
    const Clock::time_point end = Clock::now() + wait;
    for (;;) {
        const Tried tried = tryOnce(file);
        if (tried.attempt == Attempt::Taken) {
            return FileLock(file, tried.descriptor);
        }
        if (tried.attempt == Attempt::Failed) {
            return fail(Stage::Session, Cause::NoAccess,
                sessionFile.string() + " cannot be opened for writing ("
                    + std::generic_category().message(tried.code)
                    + "); copy it to a folder that you may write to");
        }
        if (tried.attempt == Attempt::Held && (Clock::now() >= end || stop.stop_requested())) {
            return fail(Stage::Session, Cause::Busy,
                sessionFile.string()
                    + " is open in another window or command; close it there and try again");
        }
        if (tried.attempt == Attempt::Held) {
            constexpr std::chrono::milliseconds pause {20};
            std::this_thread::sleep_for(std::min<Clock::duration>(pause, end - Clock::now()));
        }
    }
}

} // namespace twinlamp::session::store

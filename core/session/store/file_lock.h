// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"

#include <chrono>
#include <filesystem>
#include <stop_token>

namespace twinlamp::session::store {

/// The right to write a session: an advisory lock on a file beside it (`NAME.twinlamp-lock`), which
/// the system takes back when the process ends, however it ends. Not on the session file itself:
/// closing any descriptor of a file drops all POSIX locks that the process holds on it, the
/// database's own among them.
class FileLock
{
public:
    /// @error Session/Busy      another process or window holds it until `wait` is over
    /// @error Session/NoAccess  no file can be made in the folder
    [[nodiscard]] static Result<FileLock> take(const std::filesystem::path& sessionFile,
        std::chrono::milliseconds wait = {}, const std::stop_token& stop = {});

    FileLock(FileLock&& other) noexcept;
    FileLock& operator=(FileLock&& other) noexcept;
    ~FileLock();

private:
    FileLock(std::filesystem::path file, int descriptor);
    void release();

    std::filesystem::path m_file;
    int m_descriptor = -1;
};

} // namespace twinlamp::session::store

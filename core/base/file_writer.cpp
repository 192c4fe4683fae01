// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/file_writer.h"

#include <atomic>
#include <cerrno>
#include <cstdio>
#include <fcntl.h>
#include <string>
#include <sys/stat.h>
#include <system_error>
#include <unistd.h>

namespace twinlamp {

namespace {

namespace fs = std::filesystem;

tl::unexpected<Error> notWritten(const fs::path& target, Stage where, int code)
{
    return fail(where, Cause::WriteFailed,
        target.string() + " cannot be written (" + std::generic_category().message(code)
            + "); choose a folder that exists, that you may write to and that has room");
}

/// 0, or the errno of the write that failed. Closes the descriptor in any case.
int writeAndClose(int descriptor, std::string_view text)
{
    int failed = 0;
    while (!text.empty() && failed == 0) {
        const ssize_t written = ::write(descriptor, text.data(), text.size());
        if (written >= 0) {
            text.remove_prefix(static_cast<std::size_t>(written));
        } else if (errno != EINTR) {
            failed = errno;
        }
    }
    // Devices and pipes answer EINVAL: they have nothing to sync.
    if (failed == 0 && ::fsync(descriptor) != 0 && errno != EINVAL && errno != EROFS) {
        failed = errno;
    }
    if (::close(descriptor) != 0 && failed == 0) {
        failed = errno;
    }
    return failed;
}

/// A device or a pipe cannot be renamed over; it is written into.
int writeInto(const fs::path& special, std::string_view text)
{
    const int descriptor = ::open(special.c_str(), O_WRONLY | O_CLOEXEC);
    return descriptor < 0 ? errno : writeAndClose(descriptor, text);
}

/// Opens a file of a name that is free beside the target. Its mode follows the umask, as for any
/// file.
int openBeside(const fs::path& target, std::string& name)
{
    static std::atomic<unsigned> counter {0};
    int descriptor = -1;
    do {
        name = target.string() + "." + std::to_string(::getpid()) + "-" + std::to_string(++counter)
            + ".part";
        descriptor = ::open(name.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    } while (descriptor < 0 && errno == EEXIST);
    return descriptor;
}

/// 0, or the errno of the step that failed; the file beside is then gone again.
int writeBeside(const fs::path& target, std::string_view text)
{
    std::string name;
    const int descriptor = openBeside(target, name);
    if (descriptor < 0) {
        return errno;
    }
    int failed = writeAndClose(descriptor, text);
    if (failed == 0 && std::rename(name.c_str(), target.c_str()) != 0) {
        failed = errno;
    }
    if (failed != 0) {
        ::unlink(name.c_str());
    }
    return failed;
}

} // namespace

Result<void> writeFileAside(const fs::path& target, std::string_view bytes, Stage where)
{
    std::error_code ignored;
    const fs::file_type type = fs::status(target, ignored).type();
    int failed = 0;
    switch (type) {
    case fs::file_type::directory:
        failed = EISDIR;
        break;
    case fs::file_type::character:
    case fs::file_type::block:
    case fs::file_type::fifo:
    case fs::file_type::socket:
        failed = writeInto(target, bytes);
        break;
    default:
        // What a link points to is replaced, not the link.
        failed = writeBeside(
            fs::is_symlink(target, ignored) ? fs::weakly_canonical(target, ignored) : target,
            bytes);
        break;
    }
    return failed == 0 ? Result<void> {} : notWritten(target, where, failed);
}

} // namespace twinlamp

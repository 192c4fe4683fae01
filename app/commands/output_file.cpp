// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/output_file.h"

#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <fcntl.h>
#include <string>
#include <sys/stat.h>
#include <system_error>
#include <unistd.h>

namespace twinlamp::commands {

namespace {

namespace fs = std::filesystem;

tl::unexpected<Error> notWritten(const fs::path& target, int code)
{
    return fail(Stage::Command, Cause::WriteFailed,
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

/// 0, or the errno of the step that failed; the file beside is then gone again.
int writeBeside(const fs::path& target, std::string_view text)
{
    std::string name = target.string() + ".XXXXXX";
    const int descriptor = ::mkstemp(name.data());
    if (descriptor < 0) {
        return errno;
    }
    // mkstemp makes files that only their owner reads; a result is an ordinary file.
    constexpr ::mode_t readAndWrite = 0666;
    const ::mode_t mask = ::umask(0);
    ::umask(mask);
    int failed = ::fchmod(descriptor, readAndWrite & ~mask) == 0 ? 0 : errno;
    const int writing = writeAndClose(descriptor, failed == 0 ? text : std::string_view {});
    failed = failed == 0 ? writing : failed;
    if (failed == 0 && std::rename(name.c_str(), target.c_str()) != 0) {
        failed = errno;
    }
    if (failed != 0) {
        ::unlink(name.c_str());
    }
    return failed;
}

} // namespace

Result<void> writeAside(const fs::path& target, std::string_view text)
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
        failed = writeInto(target, text);
        break;
    default:
        // What a link points to is replaced, not the link.
        failed = writeBeside(
            fs::is_symlink(target, ignored) ? fs::weakly_canonical(target, ignored) : target, text);
        break;
    }
    return failed == 0 ? Result<void> {} : notWritten(target, failed);
}

Result<void> writeOutput(
    const CommandContext& context, std::string_view target, std::string_view text)
{
    if (target != "-") {
        return writeAside(fs::path(target), text);
    }
    context.out << text << std::flush;
    if (!context.out) {
        return fail(Stage::Command, Cause::WriteFailed,
            "standard output cannot be written; check the pipe or the disk that it goes to");
    }
    return {};
}

} // namespace twinlamp::commands

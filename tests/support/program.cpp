// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/support/program.h"

#include <array>
#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <fcntl.h>
#include <poll.h>
#include <sys/wait.h>
#include <system_error>
#include <unistd.h>

namespace twinlamp::tests {

namespace {

using Clock = std::chrono::steady_clock;

struct Pipe
{
    int readEnd = -1;
    int writeEnd = -1;

    Pipe()
    {
        std::array<int, 2> ends {};
        if (::pipe2(ends.data(), O_CLOEXEC) != 0) {
            throw std::system_error(errno, std::generic_category(), "pipe");
        }
        readEnd = ends[0];
        writeEnd = ends[1];
    }

    ~Pipe()
    {
        closeRead();
        closeWrite();
    }

    Pipe(const Pipe&) = delete;
    Pipe& operator=(const Pipe&) = delete;

    void closeRead() { closeEnd(readEnd); }

    void closeWrite() { closeEnd(writeEnd); }

private:
    static void closeEnd(int& end)
    {
        if (end >= 0) {
            ::close(end);
            end = -1;
        }
    }
};

/// Only calls that are safe between fork and exec in a program with threads, but for setenv: the
/// tests start programs from one thread.
[[noreturn]] void becomeProgram(const std::filesystem::path& program,
    std::vector<std::string> arguments, const ProgramOptions& options, const Pipe& out,
    const Pipe& err)
{
    ::dup2(out.writeEnd, STDOUT_FILENO);
    ::dup2(err.writeEnd, STDERR_FILENO);
    const int nothing = ::open("/dev/null", O_RDONLY);
    ::dup2(nothing, STDIN_FILENO);
    std::signal(SIGINT, SIG_DFL);
    std::signal(SIGTERM, SIG_DFL);
    for (const auto& [name, value] : options.environment) {
        ::setenv(name.c_str(), value.c_str(), 1);
    }
    if (!options.workingFolder.empty() && ::chdir(options.workingFolder.c_str()) != 0) {
        ::_exit(127);
    }
    std::string name = program.string();
    std::vector<char*> words {name.data()};
    for (std::string& argument : arguments) {
        words.push_back(argument.data());
    }
    words.push_back(nullptr);
    ::execv(name.c_str(), words.data());
    ::_exit(127);
}

/// Reads what is there; closes the end when the writer is gone.
void drain(Pipe& pipe, std::string& text)
{
    std::array<char, 4096> buffer {};
    const ssize_t count = ::read(pipe.readEnd, buffer.data(), buffer.size());
    if (count > 0) {
        text.append(buffer.data(), static_cast<std::size_t>(count));
    } else if (count == 0 || errno != EINTR) {
        pipe.closeRead();
    }
}

void drainBoth(Pipe& out, Pipe& err, ProgramRun& run)
{
    std::array<pollfd, 2> ends {{{out.readEnd, POLLIN, 0}, {err.readEnd, POLLIN, 0}}};
    constexpr int patienceMs = 5;
    ::poll(ends.data(), ends.size(), patienceMs);
    if (ends[0].revents != 0) {
        drain(out, run.out);
    }
    if (ends[1].revents != 0) {
        drain(err, run.err);
    }
}

void note(ProgramRun& run, int status)
{
    if (WIFEXITED(status)) {
        run.status = WEXITSTATUS(status);
    } else if (WIFSIGNALED(status)) {
        run.endedBySignal = WTERMSIG(status);
    }
}

} // namespace

ProgramRun runProgram(const std::filesystem::path& program,
    const std::vector<std::string>& arguments, const ProgramOptions& options)
{
    Pipe out;
    Pipe err;
    if (options.closedOutput) {
        out.closeRead();
    }
    const pid_t child = ::fork();
    if (child == 0) {
        becomeProgram(program, arguments, options, out, err);
    }
    out.closeWrite();
    err.closeWrite();
    ProgramRun run;
    const auto start = Clock::now();
    std::optional<Clock::time_point> signalled;
    bool killed = false;
    while (out.readEnd >= 0 || err.readEnd >= 0) {
        drainBoth(out, err, run);
        if (options.signal != 0 && !signalled && options.signalWhen && options.signalWhen()) {
            ::kill(child, options.signal);
            signalled = Clock::now();
        }
        if (!killed && Clock::now() - start > options.longest) {
            ::kill(child, SIGKILL);
            killed = true;
        }
    }
    int status = 0;
    while (::waitpid(child, &status, 0) < 0 && errno == EINTR) { }
    note(run, status);
    if (signalled) {
        run.afterSignal
            = std::chrono::duration_cast<std::chrono::milliseconds>(Clock::now() - *signalled);
    }
    return run;
}

} // namespace twinlamp::tests

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <tl/expected.hpp>
#include <variant>

namespace twinlamp {

/// Where an error arose.
enum class Stage
{
    Base,
    Footage,
    Rig,
    Trace,
    Onset,
    Panel,
    Measure,
    Stats,
    Link,
    Session,
    Report,
    Film,
    Command
};

/// Why. The command line maps these to exit statuses, the window to translated words.
enum class Cause
{
    NotFound, ///< no such file or folder, or no entry of that name
    NoAccess, ///< may not be read or written
    NotAVideo, ///< no container that we open
    NoVideoStream,
    UnsupportedCodec,
    Damaged, ///< nothing usable could be read
    SizeChanges, ///< the picture size changes in mid-stream
    NeedsCaptureRate, ///< neither given nor in the file
    InvalidValue, ///< an option, a key of a scene, a rectangle: out of its bounds
    NotLocated, ///< lamps not found in the picture
    NoPress,
    NotReached, ///< a light level is never reached
    FlatStep, ///< no step to measure
    TooFew, ///< not enough data for the figure
    Busy, ///< another window or command holds the session
    NewerVersion, ///< written by a newer version of this program
    WriteFailed,
    Internal
};

/// What went wrong, in one English sentence that names the file, what was found and what to do.
struct Error
{
    Stage where = Stage::Base;
    Cause why = Cause::Internal;
    std::string detail;
    bool operator==(const Error&) const = default;
};

template<typename T> using Result = tl::expected<T, Error>;

/// The user or the program asked a job to stop: an outcome, not an error.
struct Cancelled
{
    bool operator==(const Cancelled&) const = default;
};

/// Outcome of a job that can be stopped.
template<typename T> class JobResult
{
public:
    JobResult(T value)
        : m_outcome(std::move(value))
    {
    }

    JobResult(Error error)
        : m_outcome(std::move(error))
    {
    }

    JobResult(Cancelled cancelled)
        : m_outcome(cancelled)
    {
    }

    JobResult(tl::unexpected<Error> error)
        : m_outcome(std::move(error.value()))
    {
    }

    [[nodiscard]] bool hasValue() const { return std::holds_alternative<T>(m_outcome); }

    [[nodiscard]] bool isCancelled() const { return std::holds_alternative<Cancelled>(m_outcome); }

    [[nodiscard]] bool isError() const { return std::holds_alternative<Error>(m_outcome); }

    [[nodiscard]] const T& value() const& { return std::get<T>(m_outcome); }

    [[nodiscard]] T&& value() && { return std::get<T>(std::move(m_outcome)); }

    [[nodiscard]] const Error& error() const { return std::get<Error>(m_outcome); }

private:
    std::variant<T, Cancelled, Error> m_outcome;
};

[[nodiscard]] tl::unexpected<Error> fail(Stage where, Cause why, std::string detail);

} // namespace twinlamp

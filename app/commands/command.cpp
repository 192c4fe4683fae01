// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/command.h"

#include <algorithm>

namespace twinlamp::commands {

std::string onOneLine(std::string text)
{
    std::ranges::replace_if(
        text, [](char c) { return c == '\n' || c == '\r' || c == '\t'; }, ' ');
    std::ranges::replace_if(
        text, [](char c) { return (c >= '\0' && c < ' ') || c == '\x7f'; }, '?');
    return text;
}

ExitStatus exitStatusOf(const Error& error)
{
    switch (error.why) {
    case Cause::NeedsCaptureRate:
        return ExitStatus::WrongWords;
    case Cause::InvalidValue:
        // A scene with a wrong key is an input that cannot be read; anything else was typed.
        return error.where == Stage::Film ? ExitStatus::Unreadable : ExitStatus::WrongWords;
    case Cause::NotLocated:
    case Cause::NoPress:
    case Cause::NotReached:
    case Cause::FlatStep:
    case Cause::TooFew:
        return ExitStatus::NothingFound;
    case Cause::WriteFailed:
    case Cause::Busy:
        return ExitStatus::NotWritten;
    case Cause::NotFound:
    case Cause::NoAccess:
    case Cause::NotAVideo:
    case Cause::NoVideoStream:
    case Cause::UnsupportedCodec:
    case Cause::Damaged:
    case Cause::SizeChanges:
    case Cause::NewerVersion:
    case Cause::Internal:
        return ExitStatus::Unreadable;
    }
    return ExitStatus::Unreadable;
}

ExitStatus reportError(const CommandContext& context, const Error& error)
{
    context.err << "twinlamp: " << onOneLine(error.detail) << '\n';
    return exitStatusOf(error);
}

ExitStatus reportStopped(const CommandContext& context)
{
    context.err << "twinlamp: stopped; no result was written\n";
    return ExitStatus::Stopped;
}

} // namespace twinlamp::commands

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/commands/command.h"
#include "core/report/readout_check.h"
#include "core/session/merge.h"

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace twinlamp::commands {

/// `session show`: what a session holds.
struct ShowSession
{
};

/// `session merge`: brings others in, one after another.
struct MergeSessions
{
    std::vector<std::filesystem::path> others;
    session::Prefer prefer = session::Prefer::Here;
    bool keepsCopy = false; ///< writes the session as it was to a dated file beside it, first
};

/// `session export`: a copy in one file.
struct ExportSession
{
    std::filesystem::path output;
    bool withTraces = true;
    bool withPersons = true; ///< account names, and folders outside the session's own
};

/// `session history`: who changed what, when, from what to what.
struct ShowHistory
{
};

/// `session relink`: finds footage again that was moved.
struct RelinkClips
{
    std::filesystem::path folder;
};

/// `session readout`: what the goggle displayed about itself.
struct TypeReadouts
{
    std::string setting;
    std::vector<double> latenciesMs {}; ///< > 0
    std::string note {}; ///< kept with readouts of the setting
    std::string
        clip {}; ///< name of a clip's file in that setting; empty: of the setting as a whole
    std::optional<int>
        press {}; ///< from 1; further figures belong to the next ones of its edge kind
    bool clear = false; ///< takes those that are there away first
};

/// `session conditions`: what a link setting was set to.
struct TellConditions
{
    std::string setting;
    /// Each tells one condition, or that it is open.
    std::vector<std::function<void(session::Conditions&)>> told {};
    bool isNew = false; ///< makes the setting
};

/// `session agreement`: readouts against measured latencies.
struct CheckReadouts
{
    report::PairsOf of = report::PairsOf::Presses;
    std::string setting {}; ///< empty: all
};

/// `session figures`: what the settings measured.
struct ShowFigures
{
    std::vector<std::string> settings {}; ///< empty: all
    std::optional<double> lateLimitMs {}; ///< empty: the session's
};

/// What was typed after `twinlamp session`.
struct SessionArguments
{
    std::filesystem::path session;
    std::variant<ShowSession, MergeSessions, ExportSession, ShowHistory, RelinkClips, TypeReadouts,
        TellConditions, CheckReadouts, ShowFigures>
        task;
    std::string jsonFile; ///< "-": standard output
};

/// Looks into a session, changes it, or makes another of it. Those that change it wait 5 s for a
/// window that has it open; the others read it also then.
///
/// @return Done; WrongWords (a name that is not there, a file that is); Unreadable; NothingFound
///         (`agreement` without two pairs: the JSON is written all the same); NotWritten.
ExitStatus runSession(const SessionArguments& arguments, const CommandContext& context);

} // namespace twinlamp::commands

// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/session_command.h"

#include "app/commands/output_file.h"
#include "app/commands/progress_line.h"
#include "app/commands/session_readouts.h"
#include "core/base/version.h"
#include "core/footage/frame_index.h"
#include "core/report/history_writer.h"
#include "core/report/session_overview.h"
#include "core/report/setting_account.h"
#include "core/session/dates.h"
#include "core/session/entry_fields.h"
#include "core/session/relink.h"
#include "core/session/store/merge_file.h"

#include <algorithm>
#include <chrono>
#include <system_error>

namespace twinlamp::commands {

namespace {

namespace store = session::store;
using report::Json;

constexpr std::chrono::seconds longestWait {5};

/// A result as text and as JSON; only the one that is asked for is used.
struct Written
{
    std::string text;
    Json json;
    ExitStatus status = ExitStatus::Done;
};

Result<store::SessionFile> opened(
    const std::filesystem::path& file, store::OpenMode mode, const std::stop_token& stop)
{
    return store::SessionFile::open(file, {mode, longestWait, stop});
}

/// Does something in a session that is opened for writing, and closes it.
template<typename Action>
Result<Written> changed(
    const SessionArguments& arguments, const std::stop_token& stop, const Action& action)
{
    auto file = opened(arguments.session, store::OpenMode::Write, stop);
    if (!file) {
        Error error = file.error();
        // It can be read, or the sentence says otherwise: what is missing is the right to write.
        error.why = error.why == Cause::NoAccess ? Cause::WriteFailed : error.why;
        return tl::make_unexpected(error);
    }
    Result<Written> done = action(*file);
    const Result<void> closed = file->close();
    return done && !closed ? Result<Written>(tl::make_unexpected(closed.error())) : done;
}

template<typename Action>
Result<Written> readOnly(
    const SessionArguments& arguments, const std::stop_token& stop, const Action& action)
{
    const auto file = opened(arguments.session, store::OpenMode::ReadOnly, stop);
    return file ? action(*file) : Result<Written>(tl::make_unexpected(file.error()));
}

Json headed() { return {{"tool", "twinlamp"}, {"version", std::string(version())}}; }

Json mergeJson(const std::string& other, const store::MergeReport& report)
{
    const session::MergeCounts& counts = report.counts;
    Json json {{"other", other}, {"changed", report.changed},
        {"brought_in",
            {{"settings", counts.settings}, {"runs", counts.runs}, {"clips", counts.clips},
                {"rigs", counts.rigs}, {"rig_checks", counts.rigChecks},
                {"history_entries", report.historyEntries}}},
        {"clips_in_both", counts.clipsInBoth}, {"notes", Json::array()},
        {"conflicts", Json::array()}};
    for (const Sentence& note : report.notes) {
        json["notes"].push_back(english(note));
    }
    for (const session::MergeConflict& conflict : report.conflicts) {
        const auto orNull = [](const std::optional<std::string>& text) {
            return text ? Json(*text) : Json(nullptr);
        };
        json["conflicts"].push_back({{"sentence", english(conflict.sentence)},
            {"kind", conflict.notTaken.kind}, {"entry", conflict.notTaken.entry},
            {"not_taken_over", orNull(conflict.notTaken.from)},
            {"stands", orNull(conflict.notTaken.to)}});
    }
    return json;
}

std::string mergeText(const store::MergeReport& report)
{
    std::string text;
    for (const Sentence& note : report.notes) {
        text += english(note) + "\n";
    }
    for (const session::MergeConflict& conflict : report.conflicts) {
        text += "- " + onOneLine(english(conflict.sentence)) + "\n";
    }
    return text;
}

/// The session as it was, in a file that is named for this minute and for what follows.
Result<std::filesystem::path> copyBeforeMerge(const store::SessionFile& file)
{
    std::string now = session::nowUtc(); // 2026-05-17T09:30:00.125Z
    now = now.substr(0, 10) + " " + now.substr(11, 2) + now.substr(14, 2) + now.substr(17, 2);
    std::filesystem::path copy = file.path();
    copy.replace_filename(
        file.path().stem().string() + " before merge " + now + file.path().extension().string());
    return file.copyTo(copy, {true, false}).map([&copy] { return copy; });
}

Result<Written> merge(
    store::SessionFile& file, const MergeSessions& task, const std::stop_token& stop)
{
    // All of them first: a wrong name among them stops the command before anything is changed.
    std::vector<store::SessionFile> others;
    for (const std::filesystem::path& other : task.others) {
        auto there = opened(other, store::OpenMode::ReadOnly, stop);
        if (!there) {
            return tl::make_unexpected(there.error());
        }
        others.push_back(std::move(*there));
    }
    Written written {{}, headed()};
    written.json["copy"] = nullptr;
    if (task.keepsCopy) {
        const auto copy = copyBeforeMerge(file);
        if (!copy) {
            return tl::make_unexpected(copy.error());
        }
        written.json["copy"] = copy->string();
        written.text = "as it was: " + copy->string() + "\n";
    }
    written.json["merged"] = Json::array();
    for (const store::SessionFile& there : others) {
        const auto report = store::mergeFile(file, there, task.prefer);
        if (!report) {
            return tl::make_unexpected(report.error());
        }
        written.text += mergeText(*report);
        written.json["merged"].push_back(mergeJson(there.path().filename().string(), *report));
    }
    return written;
}

Result<Written> exportTo(const store::SessionFile& file, const ExportSession& task)
{
    const auto copied = file.copyTo(task.output, {task.withTraces, false, task.withPersons});
    if (!copied) {
        Error error = copied.error();
        error.why = error.why == Cause::InvalidValue ? error.why : Cause::WriteFailed;
        return tl::make_unexpected(error);
    }
    std::error_code ignored;
    const std::uintmax_t bytes = std::filesystem::file_size(task.output, ignored);
    Written written {{}, headed()};
    written.json["file"] = task.output.string();
    written.json["traces"] = task.withTraces;
    written.json["accounts"] = task.withPersons;
    written.json["bytes"] = bytes;
    written.text = task.output.string() + (task.withTraces ? ": with" : ": without") + " traces, "
        + (task.withPersons ? "with" : "without") + " account names and folders, "
        + std::to_string(bytes) + " bytes\n";
    return written;
}

std::string nameOf(const session::Session& session, session::ClipId id)
{
    return session::fileNameOf(*session::find(session, id));
}

JobResult<session::Relinking> looked(
    const store::SessionFile& file, const RelinkClips& task, const CommandContext& context)
{
    constexpr std::chrono::seconds quiet {1};
    ProgressLine progress(context, "looking for clips", quiet);
    const auto hasHash = [&context](const std::filesystem::path& clip, const std::string& sha256) {
        const auto hash = footage::sha256OfFile(clip, JobControl {context.stop, {}});
        return hash.hasValue() && hash.value() == sha256;
    };
    return session::relinked(file.session(), file.path(), task.folder, hasHash, progress.control());
}

Result<Written> relink(
    store::SessionFile& file, const RelinkClips& task, const CommandContext& context)
{
    const auto outcome = looked(file, task, context);
    if (outcome.isError()) {
        return tl::make_unexpected(outcome.error());
    }
    if (outcome.isCancelled()) {
        return Written {{}, {}, ExitStatus::Stopped};
    }
    const session::Relinking& relinking = outcome.value();
    Written written {{}, headed()};
    written.json["in_place"] = relinking.inPlace;
    written.json["found"] = Json::array();
    written.json["missing"] = Json::array();
    written.text = "Clips in their place: " + std::to_string(relinking.inPlace) + "\n";
    for (const session::FoundClip& found : relinking.found) {
        const std::string name = nameOf(file.session(), found.clip);
        written.json["found"].push_back({{"clip", name}, {"file", found.file.string()}});
        written.text += "found    " + name + ": " + found.file.string() + "\n";
    }
    for (const session::ClipId id : relinking.missing) {
        written.json["missing"].push_back(nameOf(file.session(), id));
        written.text += "missing  " + nameOf(file.session(), id) + "\n";
    }
    // Last: from here on the clips are called as they were found.
    return file.apply(relinking.edit).map([&written] { return written; });
}

Result<Written> agreement(const store::SessionFile& file, const CheckReadouts& task)
{
    report::ReadoutCheckOptions options {task.of};
    if (!task.setting.empty()) {
        const auto setting = settingNamed(file, task.setting);
        if (!setting) {
            return tl::make_unexpected(setting.error());
        }
        options.setting = *setting;
    }
    const report::ReadoutCheck check = report::readoutCheck(file.session(), options);
    return Written {report::readoutCheckText(check), report::readoutCheckJson(check),
        check.agreement ? ExitStatus::Done : ExitStatus::NothingFound};
}

Result<Written> figures(
    const store::SessionFile& file, const ShowFigures& task, const std::stop_token& stop)
{
    std::vector<session::SettingId> settings;
    for (const std::string& name : task.settings) {
        const auto setting = settingNamed(file, name);
        if (!setting) {
            return tl::make_unexpected(setting.error());
        }
        settings.push_back(*setting);
    }
    if (task.settings.empty()) {
        for (const session::LinkSetting& setting : file.session().settings) {
            settings.push_back(setting.id);
        }
    }
    const auto limit
        = task.lateLimitMs ? std::optional(latencyFromMs(*task.lateLimitMs)) : std::nullopt;
    std::vector<report::SettingAccount> accounts;
    for (const session::SettingId setting : settings) {
        if (stop.stop_requested()) {
            return Written {{}, {}, ExitStatus::Stopped};
        }
        accounts.push_back(report::settingAccount(file.session(), setting, limit));
    }
    const bool anyPress = std::ranges::any_of(
        accounts, [](const auto& account) { return account.firstLight.runs > 0; });
    return Written {report::accountsText(accounts), report::accountsJson(accounts),
        anyPress ? ExitStatus::Done : ExitStatus::NothingFound};
}

Result<void> applyConditions(store::SessionFile& file, const TellConditions& task)
{
    const auto change = [&task](session::Conditions conditions) {
        for (const auto& tell : task.told) {
            tell(conditions);
        }
        return conditions;
    };
    const auto apply = [&file](const session::Edit& edit) { return file.apply(edit); };
    if (task.isNew) {
        return session::addSetting(
            file.session(), session::newId<session::SettingId>(), task.setting, change({}))
            .and_then(apply);
    }
    return settingNamed(file, task.setting).and_then([&](session::SettingId id) {
        return session::changeConditions(
            file.session(), id, change(session::find(file.session(), id)->conditions))
            .and_then(apply);
    });
}

Result<Written> conditionsOf(const store::SessionFile& file, const std::string& name)
{
    return settingNamed(file, name).map([&](session::SettingId id) {
        const session::LinkSetting& setting = *session::find(file.session(), id);
        Written written {report::conditionsText(setting), headed()};
        written.json["setting"] = setting.name;
        written.json["conditions"] = report::conditionsJson(setting.conditions);
        return written;
    });
}

struct Runner
{
    const SessionArguments& arguments;
    const CommandContext& context;
    const std::stop_token& stop = context.stop;

    Result<Written> operator()(const ShowSession& /*task*/) const
    {
        return readOnly(arguments, stop, [](const store::SessionFile& file) {
            return Result<Written>(Written {
                report::overviewText(file.session()), report::overviewJson(file.session())});
        });
    }

    Result<Written> operator()(const ShowHistory& /*task*/) const
    {
        return readOnly(arguments, stop, [](const store::SessionFile& file) {
            return file.history().map([](const std::vector<session::HistoryEntry>& history) {
                return Written {report::historyText(history), report::historyJson(history)};
            });
        });
    }

    Result<Written> operator()(const MergeSessions& task) const
    {
        return changed(
            arguments, stop, [&](store::SessionFile& file) { return merge(file, task, stop); });
    }

    Result<Written> operator()(const ExportSession& task) const
    {
        return readOnly(
            arguments, stop, [&](const store::SessionFile& file) { return exportTo(file, task); });
    }

    Result<Written> operator()(const RelinkClips& task) const
    {
        return changed(
            arguments, stop, [&](store::SessionFile& file) { return relink(file, task, context); });
    }

    Result<Written> operator()(const TypeReadouts& task) const
    {
        return changed(arguments, stop, [&](store::SessionFile& file) {
            return typeReadouts(file, task).map([](const TypedReadouts& typed) {
                Written written {typed.text, headed()};
                written.json["typed"] = typed.list;
                return written;
            });
        });
    }

    Result<Written> operator()(const TellConditions& task) const
    {
        if (task.told.empty() && !task.isNew) {
            return readOnly(arguments, stop,
                [&](const store::SessionFile& file) { return conditionsOf(file, task.setting); });
        }
        return changed(arguments, stop, [&](store::SessionFile& file) {
            return applyConditions(file, task).and_then([&] {
                return conditionsOf(file, task.setting);
            });
        });
    }

    Result<Written> operator()(const ShowFigures& task) const
    {
        return readOnly(arguments, stop,
            [&](const store::SessionFile& file) { return figures(file, task, stop); });
    }

    Result<Written> operator()(const CheckReadouts& task) const
    {
        return readOnly(
            arguments, stop, [&](const store::SessionFile& file) { return agreement(file, task); });
    }
};

} // namespace

ExitStatus runSession(const SessionArguments& arguments, const CommandContext& context)
{
    const Result<Written> result = std::visit(Runner {arguments, context}, arguments.task);
    if (!result) {
        return reportError(context, result.error());
    }
    if (result->status == ExitStatus::Stopped) {
        return reportStopped(context);
    }
    const auto written = arguments.jsonFile.empty()
        ? writeOutput(context, "-", result->text)
        : writeOutput(context, arguments.jsonFile, report::toText(result->json));
    return written ? result->status : reportError(context, written.error());
}

} // namespace twinlamp::commands

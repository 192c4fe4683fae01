// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/compare_command.h"

#include "app/commands/output_file.h"
#include "app/commands/progress_line.h"
#include "core/report/comparison_writer.h"
#include "core/report/ranking_writer.h"
#include "core/session/store/session_file.h"

#include <algorithm>
#include <chrono>

namespace twinlamp::commands {

namespace {

namespace store = session::store;

std::string quotedNames(const session::Session& session)
{
    std::string names;
    for (const session::LinkSetting& setting : session.settings) {
        names += (names.empty() ? "'" : ", '") + setting.name + "'";
    }
    return names;
}

Result<session::SettingId> settingNamed(
    const CompareArguments& arguments, const session::Session& session, const std::string& name)
{
    if (const auto* setting = session::findSetting(session, name)) {
        return setting->id;
    }
    return fail(Stage::Command, Cause::InvalidValue,
        arguments.session.string() + " has no link setting '" + name + "'; "
            + (session.settings.empty() ? "it has none yet: file clips in it first"
                                        : "it has " + quotedNames(session)));
}

Result<std::vector<session::SettingId>> allSettings(
    const CompareArguments& arguments, const session::Session& session)
{
    if (session.settings.size() < 2) {
        return fail(Stage::Command, Cause::InvalidValue,
            arguments.session.string() + " has "
                + (session.settings.empty() ? "no link setting" : "one link setting")
                + "; a comparison needs two: file clips in another one first");
    }
    std::vector<session::SettingId> settings;
    for (const session::LinkSetting& setting : session.settings) {
        settings.push_back(setting.id);
    }
    return settings;
}

Result<std::vector<session::SettingId>> settingsNamed(
    const CompareArguments& arguments, const session::Session& session)
{
    if (arguments.all) {
        return allSettings(arguments, session);
    }
    std::vector<std::string> names {arguments.a, arguments.b};
    names.insert(names.end(), arguments.others.begin(), arguments.others.end());
    std::vector<session::SettingId> settings;
    for (const std::string& name : names) {
        const auto id = settingNamed(arguments, session, name);
        if (!id) {
            return tl::make_unexpected(id.error());
        }
        if (std::ranges::find(settings, *id) != settings.end()) {
            return fail(Stage::Command, Cause::InvalidValue,
                "'" + name + "' cannot be compared with itself; " + arguments.session.string()
                    + " has " + quotedNames(session));
        }
        settings.push_back(*id);
    }
    return settings;
}

/// The answer in words, or as JSON.
JobResult<std::string> answerTo(const CompareArguments& arguments, const session::Session& session,
    const std::vector<session::SettingId>& settings, const JobControl& control)
{
    report::ComparisonOptions options;
    options.figure = arguments.of;
    options.marginMs = arguments.marginMs;
    if (arguments.lateLimitMs) {
        options.lateLimit = latencyFromMs(*arguments.lateLimitMs);
    }
    const bool inWords = arguments.jsonFile.empty();
    if (settings.size() > 2) {
        const auto ranking = report::settingRanking(session, settings, options, control);
        if (!ranking.hasValue()) {
            return Cancelled {};
        }
        return inWords ? report::rankingText(ranking.value())
                       : report::toText(report::rankingJson(ranking.value()));
    }
    const auto comparison
        = report::settingComparison(session, {settings.front(), settings.back()}, options, control);
    if (!comparison.hasValue()) {
        return Cancelled {};
    }
    return inWords ? report::comparisonText(comparison.value())
                   : report::toText(report::comparisonJson(comparison.value()));
}

} // namespace

ExitStatus runCompare(const CompareArguments& arguments, const CommandContext& context)
{
    const auto file = store::SessionFile::open(
        arguments.session, {store::OpenMode::ReadOnly, {}, context.stop});
    if (!file) {
        return reportError(context, file.error());
    }
    const auto settings = settingsNamed(arguments, file->session());
    if (!settings) {
        return reportError(context, settings.error());
    }
    const auto answer = [&] {
        constexpr std::chrono::seconds quiet {1};
        ProgressLine progress(
            context, settings->size() > 2 ? "ranking, pairs" : "comparing, steps", quiet);
        return answerTo(arguments, file->session(), *settings, progress.control());
    }();
    if (!answer.hasValue() || context.stop.stop_requested()) {
        return reportStopped(context);
    }
    const auto written = writeOutput(
        context, arguments.jsonFile.empty() ? "-" : arguments.jsonFile, answer.value());
    return written ? ExitStatus::Done : reportError(context, written.error());
}

} // namespace twinlamp::commands

// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/compare_command.h"

#include "app/commands/output_file.h"
#include "core/report/comparison_writer.h"
#include "core/session/store/session_file.h"

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

Result<report::SettingPair> settingsNamed(
    const CompareArguments& arguments, const session::Session& session)
{
    const auto a = settingNamed(arguments, session, arguments.a);
    if (!a) {
        return tl::make_unexpected(a.error());
    }
    const auto b = settingNamed(arguments, session, arguments.b);
    if (!b) {
        return tl::make_unexpected(b.error());
    }
    if (*a == *b) {
        return fail(Stage::Command, Cause::InvalidValue,
            "'" + arguments.a + "' cannot be compared with itself; " + arguments.session.string()
                + " has " + quotedNames(session));
    }
    return report::SettingPair {*a, *b};
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
    report::ComparisonOptions options;
    options.figure = arguments.of;
    options.marginMs = arguments.marginMs;
    if (arguments.lateLimitMs) {
        options.lateLimit = latencyFromMs(*arguments.lateLimitMs);
    }
    const auto comparison = report::settingComparison(file->session(), *settings, options);
    if (context.stop.stop_requested()) {
        return reportStopped(context);
    }
    const auto written = arguments.jsonFile.empty()
        ? writeOutput(context, "-", report::comparisonText(comparison))
        : writeOutput(
            context, arguments.jsonFile, report::toText(report::comparisonJson(comparison)));
    return written ? ExitStatus::Done : reportError(context, written.error());
}

} // namespace twinlamp::commands

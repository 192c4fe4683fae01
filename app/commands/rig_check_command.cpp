// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/rig_check_command.h"

#include "app/commands/output_file.h"
#include "app/commands/progress_line.h"
#include "app/commands/session_filing.h"
#include "core/report/check_report.h"

#include <utility>

namespace twinlamp::commands {

namespace {

using measure::CheckedClip;

JobResult<CheckedClip> checked(
    const CheckArguments& arguments, CheckKind kind, const CommandContext& context)
{
    ProgressLine progress(context, "checking " + arguments.clip.filename().string() + ", frames");
    return kind == CheckKind::Zero
        ? measure::zeroCheck(arguments.clip, arguments.options, progress.control())
        : measure::timeBaseCheck(
            arguments.clip, arguments.options, arguments.period, progress.control());
}

Result<void> writeCheck(
    const CheckArguments& arguments, const CommandContext& context, const CheckedClip& clip)
{
    if (arguments.jsonFile.empty()) {
        return writeOutput(context, "-", report::checkText(clip.result, clip.clip));
    }
    const report::Json json = report::checkJson(
        clip.result, clip.clip, {clip.reference, clip.goggle, clip.regionSource});
    return writeOutput(context, arguments.jsonFile, report::toText(json));
}

ExitStatus endWithoutFigures(const CheckArguments& arguments, CheckKind kind,
    const CommandContext& context, const Error& error)
{
    if (!arguments.jsonFile.empty() && exitStatusOf(error) == ExitStatus::NothingFound) {
        const auto written = writeOutput(context, arguments.jsonFile,
            report::toText(report::emptyCheckJson(kind, error.detail)));
        if (!written) {
            return reportError(context, written.error());
        }
    }
    return reportError(context, error);
}

ExitStatus run(CheckArguments arguments, CheckKind kind, const CommandContext& context)
{
    const bool files = !arguments.sessionFile.empty();
    if (files) {
        const auto options = checkSession(arguments.sessionFile).and_then([&] {
            return checkOptionsInRig(arguments.sessionFile, arguments.rig, kind, arguments.options);
        });
        if (!options) {
            return reportError(context, options.error());
        }
        arguments.options = *options;
    }
    const auto outcome = checked(arguments, kind, context);
    if (outcome.isCancelled() || context.stop.stop_requested()) {
        return reportStopped(context);
    }
    if (outcome.isError()) {
        return endWithoutFigures(arguments, kind, context, outcome.error());
    }
    if (files) {
        const auto filed = fileCheckInSession(
            arguments.sessionFile, arguments.rig, outcome.value().result, context.stop);
        if (!filed) {
            return context.stop.stop_requested() ? reportStopped(context)
                                                 : reportError(context, filed.error());
        }
    }
    const auto written = writeCheck(arguments, context, outcome.value());
    return written ? ExitStatus::Done : reportError(context, written.error());
}

} // namespace

ExitStatus runZero(const ZeroArguments& arguments, const CommandContext& context)
{
    return run(arguments, CheckKind::Zero, context);
}

ExitStatus runTimeBase(const TimeBaseArguments& arguments, const CommandContext& context)
{
    return run(arguments, CheckKind::TimeBase, context);
}

} // namespace twinlamp::commands

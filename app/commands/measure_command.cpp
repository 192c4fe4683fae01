// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/measure_command.h"

#include "app/commands/clip_facts.h"
#include "app/commands/output_file.h"
#include "app/commands/progress_line.h"
#include "app/commands/session_filing.h"
#include "core/report/csv_writer.h"
#include "core/report/json_writer.h"
#include "core/report/measurement_figures.h"
#include "core/report/table_writer.h"

#include <string>
#include <utility>

namespace twinlamp::commands {

namespace {

using report::Json;

stats::SummaryOptions summaryOptions(const MeasureArguments& arguments)
{
    stats::SummaryOptions options;
    options.linkFrameRate = arguments.options.linkFrameRate;
    if (arguments.lateLimitMs) {
        options.lateLimit = latencyFromMs(*arguments.lateLimitMs);
    }
    return options;
}

JobResult<measure::Measurement> measured(
    const MeasureArguments& arguments, const CommandContext& context)
{
    ProgressLine progress(context, "measuring " + arguments.clip.filename().string() + ", frames");
    // A clip of a session will be looked at again, in the window.
    measure::LightMapUse map;
    map.keep = !arguments.sessionFile.empty();
    map.folder = measure::defaultMapFolder();
    return measure::measureClip(
        arguments.clip, arguments.options, progress.control(), {}, nullptr, map);
}

/// JSON and CSV where they were asked for, else the table.
Result<void> writeResult(const MeasureArguments& arguments, const CommandContext& context,
    const ClipResult& result, const report::MeasurementFigures& figures)
{
    if (arguments.jsonFile.empty() && arguments.csvFile.empty()) {
        return writeOutput(context, "-", report::measurementTable(result, figures));
    }
    if (!arguments.jsonFile.empty()) {
        const std::string text = report::toText(report::measurementJson(result, figures));
        if (auto written = writeOutput(context, arguments.jsonFile, text); !written) {
            return written;
        }
    }
    if (arguments.csvFile.empty()) {
        return {};
    }
    return writeOutput(context, arguments.csvFile, report::pressesCsv(result));
}

/// The JSON of a clip in which the lamps were not found: what is known of it, and no presses.
Json notLocatedJson(
    const ClipFacts& facts, const MeasureArguments& arguments, const std::string& reason)
{
    ClipResult empty;
    empty.clip = facts;
    empty.scan.mode = arguments.options.scan;
    empty.scan.shortestHoldMs = arguments.options.reliedHoldMs();
    Json json = report::measurementJson(
        empty, report::measurementFigures(empty, summaryOptions(arguments)));
    json["regions"] = {{"reference", nullptr}, {"goggle", nullptr}, {"panel", nullptr},
        {"panel_corners", nullptr}, {"source", "located"}};
    if (!facts.captureRate.isPositive()) {
        json["clip"]["capture_rate_hz"] = nullptr;
        json["clip"]["capture_rate_source"] = nullptr;
    }
    json["notes"].push_back(reason);
    return json;
}

ExitStatus endWithoutRegions(
    const MeasureArguments& arguments, const CommandContext& context, const Error& error)
{
    if (!arguments.jsonFile.empty()) {
        JobControl control;
        control.stop = context.stop;
        const auto facts = clipFactsOf(arguments.clip, arguments.options, control);
        if (facts.isCancelled()) {
            return reportStopped(context);
        }
        if (facts.isError()) {
            return reportError(context, facts.error());
        }
        const Json json = notLocatedJson(facts.value(), arguments, error.detail);
        const auto written = writeOutput(context, arguments.jsonFile, report::toText(json));
        if (!written) {
            return reportError(context, written.error());
        }
    }
    return reportError(context, error);
}

/// A session that cannot be read is told before the long part.
Result<void> sessionCheck(const MeasureArguments& arguments)
{
    return arguments.sessionFile.empty() ? Result<void> {} : checkSession(arguments.sessionFile);
}

/// A clip without a press is not filed: it would look like a measured one.
Result<void> filedResult(
    const MeasureArguments& arguments, const CommandContext& context, const ClipResult& result)
{
    if (arguments.sessionFile.empty() || result.presses.empty()) {
        return {};
    }
    return fileInSession({arguments.sessionFile, arguments.setting, arguments.run, arguments.rig},
        arguments.clip, result, arguments.options, context.stop);
}

Error noPress(const MeasureArguments& arguments)
{
    return {Stage::Measure, Cause::NoPress,
        arguments.clip.string()
            + " shows no switching of the reference lamp; check the reference region (--reference) "
              "and that the clip holds a press"};
}

} // namespace

ExitStatus runMeasure(const MeasureArguments& typed, const CommandContext& context)
{
    if (const auto readable = sessionCheck(typed); !readable) {
        return reportError(context, readable.error());
    }
    MeasureArguments arguments = typed;
    if (!typed.sessionFile.empty()) {
        const auto options
            = optionsInRig(typed.sessionFile, typed.rig, typed.clip, typed.options, context.stop);
        if (!options) {
            return reportError(context, options.error());
        }
        arguments.options = *options;
    }
    auto outcome = measured(arguments, context);
    if (outcome.isCancelled() || context.stop.stop_requested()) {
        return reportStopped(context);
    }
    if (outcome.isError()) {
        return exitStatusOf(outcome.error()) == ExitStatus::NothingFound
            ? endWithoutRegions(arguments, context, outcome.error())
            : reportError(context, outcome.error());
    }
    const ClipResult result = std::move(outcome).value().result;
    if (const auto filed = filedResult(arguments, context, result); !filed) {
        return context.stop.stop_requested() ? reportStopped(context)
                                             : reportError(context, filed.error());
    }
    const auto figures = report::measurementFigures(result, summaryOptions(arguments));
    if (const auto written = writeResult(arguments, context, result, figures); !written) {
        return reportError(context, written.error());
    }
    return result.presses.empty() ? reportError(context, noPress(arguments)) : ExitStatus::Done;
}

} // namespace twinlamp::commands

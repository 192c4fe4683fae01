// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/film_command.h"

#include "app/commands/output_file.h"
#include "app/commands/progress_line.h"
#include "core/film/container.h"
#include "core/film/film.h"
#include "core/film/sample_set.h"

#include <spdlog/fmt/fmt.h>

namespace twinlamp::commands {

namespace {

std::string filmText(const film::FilmReport& report)
{
    return fmt::format("{}: {} frames, {:.1f} MB, {} lamp edges; truth in {}\n",
        report.clip.string(), report.framesWritten, static_cast<double>(report.bytes) * 1e-6,
        report.truth.presses.size(), report.truthFile.filename().string());
}

ExitStatus filmOne(const FilmArguments& arguments, const CommandContext& context)
{
    const auto scene = film::loadScene(arguments.scene);
    if (!scene) {
        return reportError(context, scene.error());
    }
    const std::string complaint = film::containerComplaint(arguments.clip, *scene);
    if (!complaint.empty()) {
        return reportError(context, {Stage::Command, Cause::InvalidValue, complaint});
    }
    const auto report = [&] {
        ProgressLine progress(
            context, "filming " + arguments.clip.filename().string() + ", frames");
        return film::filmScene(*scene, arguments.clip, progress.control());
    }();
    if (report.isCancelled()) {
        return reportStopped(context);
    }
    if (report.isError()) {
        return reportError(context, report.error());
    }
    const bool json = !arguments.jsonFile.empty();
    const auto written = json
        ? writeOutput(context, arguments.jsonFile, film::truthJson(report.value().truth))
        : writeOutput(context, "-", filmText(report.value()));
    return written ? ExitStatus::Done : reportError(context, written.error());
}

ExitStatus filmSamples(const FilmArguments& arguments, const CommandContext& context)
{
    const auto set = film::loadSampleSet(arguments.samplesList);
    if (!set) {
        return reportError(context, set.error());
    }
    const auto report = [&] {
        ProgressLine progress(context, "filming the sample clips, frames");
        return film::makeSamples(
            *set, arguments.samplesFolder, arguments.threads, progress.control());
    }();
    if (report.isCancelled()) {
        context.err << "twinlamp: stopped; the finished sample clips stay\n";
        return ExitStatus::Stopped;
    }
    if (report.isError()) {
        return reportError(context, report.error());
    }
    const film::SampleReport& made = report.value();
    const auto written = writeOutput(context, "-",
        made.clipsFilmed == 0 ? fmt::format("{}: all {} sample clips are there\n",
            arguments.samplesFolder.string(), made.clipsThere)
                              : fmt::format("{}: {} sample clips, {} frames, {:.1f} s\n",
                                  arguments.samplesFolder.string(), made.clipsFilmed,
                                  made.framesFilmed, made.seconds));
    return written ? ExitStatus::Done : reportError(context, written.error());
}

} // namespace

ExitStatus runFilm(const FilmArguments& arguments, const CommandContext& context)
{
    return arguments.samplesFolder.empty() ? filmOne(arguments, context)
                                           : filmSamples(arguments, context);
}

} // namespace twinlamp::commands

// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/locate_command.h"

#include "app/commands/output_file.h"
#include "app/commands/progress_line.h"
#include "core/footage/frame_index.h"
#include "core/measure/clip_measurement.h"
#include "core/report/figure_text.h"
#include "core/report/json_writer.h"

#include <string>

namespace twinlamp::commands {

namespace {

using measure::LocatedRegion;
using measure::LocatedRegions;
using report::Json;

JobResult<LocatedRegions> locate(const LocateArguments& arguments, const CommandContext& context)
{
    ProgressLine progress(
        context, "locating in " + arguments.clip.filename().string() + ", frames");
    const JobControl control = progress.control();
    const auto index
        = footage::indexClip(arguments.clip, footage::defaultIndexCacheFolder(), control);
    if (index.hasValue()) {
        return measure::locateRegions(index.value(), control);
    }
    return index.isCancelled() ? JobResult<LocatedRegions>(Cancelled {}) : index.error();
}

Json regionJson(const LocatedRegion& region)
{
    const RectPx& rect = region.rect;
    return {{"rect", {rect.x, rect.y, rect.width, rect.height}}, {"confidence", region.confidence}};
}

Json locatedJson(const LocatedRegions& located)
{
    Json json;
    json["reference"] = regionJson(located.reference);
    json["goggle"] = regionJson(located.goggle);
    json["panel"] = located.panel ? regionJson(*located.panel) : Json();
    json["notes"] = Json::array();
    for (const Sentence& note : located.notes) {
        json["notes"].push_back(english(note));
    }
    return json;
}

Json nothingLocatedJson(const std::string& reason)
{
    return {{"reference", nullptr}, {"goggle", nullptr}, {"panel", nullptr},
        {"notes", Json::array({reason})}};
}

std::string rectText(RectPx rect)
{
    return std::to_string(rect.x) + "," + std::to_string(rect.y) + "," + std::to_string(rect.width)
        + "," + std::to_string(rect.height);
}

std::string line(const std::string& label, const char* option, const LocatedRegion& region)
{
    return label + option + " " + rectText(region.rect) + "   confidence "
        + report::fixedText(region.confidence, 2) + "\n";
}

std::string locatedText(const LocatedRegions& located)
{
    std::string text = line("reference lamp  ", "--reference", located.reference)
        + line("goggle lamp     ", "--goggle", located.goggle);
    text += located.panel ? line("panel           ", "--panel", *located.panel)
                          : std::string("panel           not found\n");
    for (const Sentence& note : located.notes) {
        text += english(note) + "\n";
    }
    return text;
}

} // namespace

ExitStatus runLocate(const LocateArguments& arguments, const CommandContext& context)
{
    const auto located = locate(arguments, context);
    if (located.isCancelled() || context.stop.stop_requested()) {
        return reportStopped(context);
    }
    const bool toFile = !arguments.jsonFile.empty();
    if (located.isError()) {
        const Error& error = located.error();
        if (toFile && exitStatusOf(error) == ExitStatus::NothingFound) {
            const auto written = writeOutput(
                context, arguments.jsonFile, report::toText(nothingLocatedJson(error.detail)));
            if (!written) {
                return reportError(context, written.error());
            }
        }
        return reportError(context, error);
    }
    const auto written = toFile
        ? writeOutput(context, arguments.jsonFile, report::toText(locatedJson(located.value())))
        : writeOutput(context, "-", locatedText(located.value()));
    return written ? ExitStatus::Done : reportError(context, written.error());
}

} // namespace twinlamp::commands

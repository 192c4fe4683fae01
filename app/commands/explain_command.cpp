// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/explain_command.h"

#include "app/commands/output_file.h"
#include "app/commands/progress_line.h"
#include "core/footage/frame_index.h"
#include "core/measure/clip_measurement.h"
#include "core/report/press_explanation_json.h"

#include <algorithm>
#include <cctype>
#include <memory>
#include <optional>
#include <utility>

namespace twinlamp::commands {

namespace {

std::optional<DrawingFormat> formatOf(const std::string& file)
{
    std::string ending = std::filesystem::path(file).extension().string();
    std::ranges::transform(
        ending, ending.begin(), [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return ending == ".png" ? std::optional(DrawingFormat::Png)
        : ending == ".svg"  ? std::optional(DrawingFormat::Svg)
                            : std::nullopt;
}

Result<void> checkWords(const ExplainArguments& arguments)
{
    if (!arguments.output.empty() && !formatOf(arguments.output)) {
        return fail(Stage::Command, Cause::InvalidValue,
            arguments.output
                + " ends neither in .png nor in .svg; give -o a name with one of them");
    }
    return {};
}

Error noSuchPress(const ExplainArguments& arguments, const ClipResult& result)
{
    if (result.presses.empty()) {
        return {Stage::Measure, Cause::NoPress,
            arguments.clip.string()
                + " shows no switching of the reference lamp; check the reference region "
                  "(--reference) and that the clip holds a press"};
    }
    return {Stage::Command, Cause::InvalidValue,
        arguments.clip.string() + " has presses 1 to " + std::to_string(result.presses.size())
            + ", not " + std::to_string(arguments.press) + "; give --press one of them"};
}

/// Both lamps in every frame of the strip; frames that cannot be decoded are left out.
JobResult<std::vector<LampPicture>> picturesOf(const ExplainArguments& arguments,
    const report::PressExplanation& explanation, const JobControl& control)
{
    auto index = footage::indexClip(arguments.clip, footage::defaultIndexCacheFolder(), control);
    if (index.isCancelled()) {
        return Cancelled {};
    }
    if (index.isError()) {
        return index.error();
    }
    const auto kept = std::make_shared<const footage::ClipIndex>(std::move(index).value());
    auto source = footage::FrameSource::open(kept, {});
    if (!source) {
        return source.error();
    }
    std::vector<LampPicture> pictures;
    for (const report::StripFrame& column : explanation.strip) {
        if (control.stop.stop_requested()) {
            return Cancelled {};
        }
        const auto frame = source->frame({column.frame});
        if (!frame) {
            continue;
        }
        const footage::Orientation& turn = kept->info.orientation;
        pictures.push_back(
            {column.frame, false, footage::toRgb(*frame, turn, explanation.referencePart)});
        pictures.push_back(
            {column.frame, true, footage::toRgb(*frame, turn, explanation.gogglePart)});
    }
    return pictures;
}

ExitStatus writeDrawing(const ExplainArguments& arguments, const CommandContext& context,
    const report::PressExplanation& explanation, const DrawExplanation& draw)
{
    JobControl control;
    control.stop = context.stop;
    const auto pictures = picturesOf(arguments, explanation, control);
    if (pictures.isCancelled()) {
        return reportStopped(context);
    }
    if (pictures.isError()) {
        return reportError(context, pictures.error());
    }
    const auto bytes = draw(explanation, pictures.value(), *formatOf(arguments.output));
    if (!bytes) {
        return reportError(context, bytes.error());
    }
    const auto written = writeOutput(context, arguments.output, *bytes);
    return written ? ExitStatus::Done : reportError(context, written.error());
}

} // namespace

ExitStatus runExplain(
    const ExplainArguments& arguments, const CommandContext& context, const DrawExplanation& draw)
{
    if (const auto words = checkWords(arguments); !words) {
        return reportError(context, words.error());
    }
    ProgressLine progress(context, "measuring " + arguments.clip.filename().string() + ", frames");
    auto outcome = measure::measureClip(arguments.clip, arguments.options, progress.control());
    if (outcome.isCancelled() || context.stop.stop_requested()) {
        return reportStopped(context);
    }
    if (outcome.isError()) {
        return reportError(context, outcome.error());
    }
    const ClipResult result = std::move(outcome).value().result;
    const auto press = std::ranges::find(result.presses, arguments.press - 1, &Press::index);
    if (press == result.presses.end()) {
        return reportError(context, noSuchPress(arguments, result));
    }
    const report::PressExplanation explanation
        = report::explainPress({result.clip, result.regions, result.traces, *press, {}});
    if (!arguments.jsonFile.empty()) {
        const auto written = writeOutput(
            context, arguments.jsonFile, report::toText(report::explanationJson(explanation)));
        if (!written) {
            return reportError(context, written.error());
        }
    }
    return arguments.output.empty() ? ExitStatus::Done
                                    : writeDrawing(arguments, context, explanation, draw);
}

} // namespace twinlamp::commands

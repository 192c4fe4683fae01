// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/command_line.h"

#include "app/command_line_parts.h"
#include "app/help_texts.h"
#include "app/option_values.h"
#include "app/option_words.h"
#include "core/base/version.h"

#include <algorithm>
#include <array>
#include <string_view>
#include <utility>

namespace twinlamp::app {

namespace {

template<typename Target>
CLI::Option* addRect(CLI::App& command, Target& target, const char* name, const char* help)
{
    return addValue<RectPx>(command, target,
        {name, "X,Y,W,H",
            "a rectangle X,Y,W,H in pixels of the upright picture, for example 120,80,40,40",
            [](const std::string& text) { return parseRect(text); }, help});
}

/// What a setting or a run is called: a blank name would be a row without words.
CLI::Option* addName(CLI::App& command, std::string& target, const char* name, const char* help)
{
    return addValue<std::string>(command, target,
        {name, "NAME", "a name",
            [](const std::string& text) {
                return text.find_first_not_of(" \t\r\n") == std::string::npos
                    ? std::nullopt
                    : std::optional<std::string>(text);
            },
            help});
}

CLI::Option* addThreads(CLI::App& command, int& threads, const char* help)
{
    return addValue<int>(
        command, threads, {"--threads", "N", "a whole number from 1 to 256", parseThreads, help});
}

void addClip(CLI::App& command, std::filesystem::path& clip)
{
    command
        .add_option_function<std::string>(
            "CLIP",
            [&clip](const std::string& text) {
                if (text.empty()) {
                    throw CLI::ValidationError("CLIP", "the name of the footage is empty");
                }
                clip = text;
            },
            "the footage")
        ->type_name("")
        ->required();
}

void addLocate(CLI::App& program, bool& verbose, commands::LocateArguments& arguments)
{
    CLI::App* command = addCommand(
        program, verbose, "locate", "Propose the lamp regions and the panel of a clip");
    addClip(*command, arguments.clip);
    addOutput(
        *command, arguments.jsonFile, "--json", "Write the proposal as JSON; - is standard output");
}

CLI::Option* addPanel(CLI::App& command, measure::MeasureOptions& options)
{
    const auto store = [&options](const std::string& text) {
        if (const auto problem = readPanel(text, options)) {
            throw CLI::ValidationError("--panel", *problem);
        }
    };
    return command.add_option_function<std::string>("--panel", store, panelHelp)
        ->type_name("X,Y,W,H|X1,Y1,…,X4,Y4")
        ->group("Regions");
}

void addRegions(CLI::App& command, measure::MeasureOptions& options)
{
    addRect(command, options.reference, "--reference",
        "The lamp that the camera sees directly (located when left out)")
        ->group("Regions");
    addRect(command, options.goggle, "--goggle",
        "The lamp's picture on the goggle's screen (located when left out)")
        ->group("Regions");
    command.add_flag("--no-panel", options.withoutPanel, "Do not look for the panel")
        ->excludes(addPanel(command, options))
        ->group("Regions");
}

void addCamera(CLI::App& command, measure::MeasureOptions& options)
{
    constexpr auto group = "Camera";
    addValue(command, options.captureRate,
        captureRateWords("Frames per second of real time (read from the file where it is tagged)"))
        ->group(group);
    addValue(command, options.exposureMs, exposureWords())->group(group);
    addValue(command, options.lineTimeUs, lineTimeWords())->group(group);
    addValue(command, options.transfer, transferWords())->group(group);
    addValue(command, options.zeroMs, zeroWords())->group(group);
    addValue(command, options.zeroUncertaintyMs, zeroUncertaintyWords())->group(group);
}

constexpr auto pressGroup = "Presses";

void addSearch(CLI::App& command, measure::MeasureOptions& options)
{
    using measure::EdgeChoice;
    constexpr auto group = pressGroup;
    addValue<EdgeChoice>(command, options.edges,
        {"--edges", "on|off|both", "one of on, off, both",
            oneOf<EdgeChoice>(
                {{"on", EdgeChoice::On}, {"off", EdgeChoice::Off}, {"both", EdgeChoice::Both}}),
            "Edge kinds to measure (both)"})
        ->group(group);
    addValue<double>(command, options.searchMs,
        {"--search", "MS", "a time in ms above 0 and up to 3600000, with a decimal point",
            parsePositiveMs, "How long after the reference lamp an answer may come (150)"})
        ->group(group);
    addValue<FrameRate>(command, options.linkFrameRate,
        {"--link-frame-rate", "HZ",
            "a frame rate from 1 to 1000000, such as 60, 59.94 or 60000/1001", parseRate,
            "Frame rate of the link's camera: tells the link spread, and times a few presses "
            "better"})
        ->group(group);
}

void addScan(CLI::App& command, measure::MeasureOptions& options)
{
    constexpr auto group = "Scan";
    addValue<ScanMode>(command, options.scan,
        {"--scan", "full|sparse", "one of full, sparse",
            oneOf<ScanMode>({{"full", ScanMode::Full}, {"sparse", ScanMode::Sparse}}),
            "Decode every frame, or only those around the switchings, found by the shortest hold "
            "(full)"})
        ->group(group);
    addValue<double>(command, options.shortestHoldMs,
        {"--shortest-hold", "MS", "a time in ms above 0 and up to 3600000, with a decimal point",
            parsePositiveMs,
            "Shortest hold, lit or dark, that a sparse scan may rely on; a shorter one may be "
            "missed (the rig's, else 100)"})
        ->group(group);
    addThreads(command, options.threads, "Decoders that run side by side (one per core)")
        ->group(group);
}

void addResult(CLI::App& command, commands::MeasureArguments& arguments)
{
    addOutput(
        command, arguments.jsonFile, "--json", "Write the result as JSON; - is standard output");
    addOutput(
        command, arguments.csvFile, "--csv", "Write the presses as CSV; - is standard output");
    CLI::Option* session = command.add_option_function<std::string>(
        "--session", [&arguments](const std::string& text) { arguments.sessionFile = text; },
        "File the result in this session, which is made where it does not exist");
    session->type_name("FILE")->group("Session");
    CLI::Option* setting
        = addName(command, arguments.setting, "--setting", "Link setting that the clip belongs to");
    setting->group("Session")->needs(session);
    session->needs(setting);
    addName(command, arguments.run, "--run", "Run within the setting")
        ->group("Session")
        ->needs(session);
    addName(command, arguments.rig, "--rig",
        "Rig that the clip was filmed with: its newest checks are applied")
        ->group("Session")
        ->needs(session);
}

void addMeasure(CLI::App& program, bool& verbose, commands::MeasureArguments& arguments)
{
    CLI::App* command = addCommand(
        program, verbose, "measure", "Measure the glass-to-glass latency that one clip shows");
    addClip(*command, arguments.clip);
    addResult(*command, arguments);
    addRegions(*command, arguments.options);
    addCamera(*command, arguments.options);
    addSearch(*command, arguments.options);
    addValue<double>(*command, arguments.lateLimitMs,
        {"--late-limit", "MS", "a time in ms above 0 and up to 3600000, with a decimal point",
            parsePositiveMs, "Count the presses whose latency is over this limit"})
        ->group(pressGroup);
    addScan(*command, arguments.options);
}

void addExplain(CLI::App& program, bool& verbose, commands::ExplainArguments& arguments)
{
    CLI::App* command = addCommand(program, verbose, "explain",
        "Show one press of a clip: film strip, traces with the fitted model, uncertainty");
    addClip(*command, arguments.clip);
    addValue<int>(*command, arguments.press,
        {"--press", "N", "the number of a press, from 1", parsePressNumber,
            "Which press, as twinlamp measure numbers them with the same options"})
        ->required();
    addOutput(*command, arguments.output, "-o,--output",
        "The drawing to write; its ending, .png or .svg, chooses the kind");
    addOutput(*command, arguments.jsonFile, "--json",
        "Write what it shows as JSON; - is standard output");
    addRegions(*command, arguments.options);
    addCamera(*command, arguments.options);
    addSearch(*command, arguments.options);
    addScan(*command, arguments.options);
}

void addCheckCamera(CLI::App& command, measure::MeasureOptions& options, const char* rateHelp)
{
    constexpr auto group = "Camera";
    addValue(command, options.captureRate, captureRateWords(rateHelp))->group(group);
    addValue(command, options.exposureMs, exposureWords())->group(group);
    addValue(command, options.lineTimeUs, lineTimeWords())->group(group);
    addValue(command, options.transfer, transferWords())->group(group);
    addThreads(command, options.threads, "Decoders that run side by side (one per core)")
        ->group("Scan");
}

void addCheckResult(CLI::App& command, commands::CheckArguments& arguments)
{
    addOutput(
        command, arguments.jsonFile, "--json", "Write the check as JSON; - is standard output");
    CLI::Option* session = command.add_option_function<std::string>(
        "--session", [&arguments](const std::string& text) { arguments.sessionFile = text; },
        "File the check in this session, which is made where it does not exist");
    session->type_name("FILE")->group("Session");
    CLI::Option* rig = addName(command, arguments.rig, "--rig",
        "Rig that was checked: clips of it are then measured with the newest check");
    rig->group("Session")->needs(session);
    session->needs(rig);
}

void addZero(CLI::App& program, bool& verbose, commands::ZeroArguments& arguments)
{
    CLI::App* command = addCommand(program, verbose, "zero",
        "Zero check: both lamps in direct view, switched together a few times");
    addClip(*command, arguments.clip);
    addCheckResult(*command, arguments);
    constexpr auto group = "Regions";
    addRect(*command, arguments.options.reference, "--reference",
        "The reference lamp (located when left out: the left one of the two)")
        ->group(group);
    addRect(*command, arguments.options.goggle, "--goggle",
        "The lamp that stands before the link camera otherwise (located when left out)")
        ->group(group);
    addCheckCamera(*command, arguments.options,
        "Frames per second of real time (read from the file where it is tagged)");
}

void addTimeBase(CLI::App& program, bool& verbose, commands::TimeBaseArguments& arguments)
{
    CLI::App* command = addCommand(program, verbose, "timebase",
        "Time-base check: the true capture rate, from a lamp driven with a known period");
    addClip(*command, arguments.clip);
    addValue<double>(*command, arguments.period.ms,
        {"--period", "MS", "a time in ms above 0 and up to 3600000, with a decimal point",
            parsePositiveMs,
            "A whole on-off cycle of the lamp: from one switching on to the next; 2000 or more"})
        ->required();
    addValue<double>(*command, arguments.period.halfWidthMs,
        {"--period-uncertainty", "MS", "a time in ms from 0 to 3600000, with a decimal point",
            parseNotNegativeMs, "95 % half width of that period (0)"});
    addCheckResult(*command, arguments);
    addRect(*command, arguments.options.reference, "--reference",
        "The driven lamp (located when left out)")
        ->group("Regions");
    addCheckCamera(*command, arguments.options,
        "What the camera is labelled with, to compare with (read from the file where it is "
        "tagged)");
}

/// `film SCENE -o CLIP`, or `film --samples FOLDER --sample-list FILE`.
void addFilm(CLI::App& program, bool& verbose, commands::FilmArguments& arguments)
{
    CLI::App* command = addCommand(program, verbose, "film",
        "Film simulated footage from a scene, its truth in CLIP.truth.json");
    const auto path = [](std::filesystem::path& target) {
        return [&target](const std::string& text) { target = text; };
    };
    CLI::Option* scene = command->add_option_function<std::string>(
        "SCENE", path(arguments.scene), "the scene, a JSON file (keys: samples/README.md)");
    scene->type_name("");
    CLI::Option* clip = command->add_option_function<std::string>(
        "-o,--output", path(arguments.clip), "The clip to write; its ending chooses the container");
    clip->type_name("CLIP")->needs(scene);
    scene->needs(clip);
    addOutput(*command, arguments.jsonFile, "--json",
        "Write the truth there as well; - is standard output");
    constexpr auto group = "Samples";
    CLI::Option* samples = command->add_option_function<std::string>("--samples",
        path(arguments.samplesFolder), "Film every sample clip that is missing in this folder");
    samples->type_name("FOLDER")->excludes(scene)->group(group);
    command
        ->add_option_function<std::string>("--sample-list", path(arguments.samplesList),
            "Which clips those are (the list that comes with the program)")
        ->type_name("FILE")
        ->needs(samples)
        ->group(group);
    addThreads(*command, arguments.threads, "Clips filmed at a time (one per core)")
        ->needs(samples)
        ->group(group);
}

/// Storage that the parser writes into; the chosen command's part becomes the request.
struct Words
{
    bool verbose = false;
    std::vector<std::string> files;
    commands::LocateArguments locate;
    commands::MeasureArguments measure;
    commands::ExplainArguments explain;
    commands::ZeroArguments zero;
    commands::TimeBaseArguments timeBase;
    commands::FilmArguments film;
    commands::CompareArguments compare;
    commands::ReckonArguments reckon;
    commands::SessionArguments session;
};

void describe(CLI::App& program, Words& words)
{
    program.set_version_flag("--version", "twinlamp " + std::string(version()));
    program.add_flag("--verbose", words.verbose, "Write the log to standard error as well");
    program
        .add_option("FILES", words.files,
            "A session (NAME.twinlamp), or clips for a new session: opens the window")
        ->type_name("");
    program.footer(
        std::string("Without a command the window opens.\n") + exitStatuses + "\n\n" + cautions);
    program.require_subcommand(0, 1);
    addLocate(program, words.verbose, words.locate);
    addMeasure(program, words.verbose, words.measure);
    addExplain(program, words.verbose, words.explain);
    addZero(program, words.verbose, words.zero);
    addTimeBase(program, words.verbose, words.timeBase);
    addFilm(program, words.verbose, words.film);
    addCompare(program, words.verbose, words.compare);
    addReckon(program, words.verbose, words.reckon);
    addSession(program, words.verbose, words.session);
}

/// Two texts on one stream would be neither.
void checkOutputs(const commands::MeasureArguments& measure)
{
    if (measure.jsonFile == "-" && measure.csvFile == "-") {
        throw CLI::ValidationError("--csv", "only one of --json and --csv can be standard output");
    }
}

void checkExplain(const commands::ExplainArguments& explain)
{
    if (explain.output.empty() && explain.jsonFile.empty()) {
        throw CLI::ValidationError(
            "-o", "a file for the drawing is needed (-o FILE.png or FILE.svg), or --json FILE");
    }
    if (explain.output == "-") {
        throw CLI::ValidationError("-o", "the drawing needs a file that ends in .png or .svg");
    }
}

void checkFilm(const commands::FilmArguments& film)
{
    if (film.scene.empty() && film.samplesFolder.empty()) {
        throw CLI::ValidationError("SCENE", "a scene and -o CLIP are needed, or --samples FOLDER");
    }
}

void checkReadouts(const commands::SessionArguments& session)
{
    const auto* typed = std::get_if<commands::TypeReadouts>(&session.task);
    if (typed != nullptr && typed->latenciesMs.empty() && !typed->clear) {
        throw CLI::ValidationError("MS", "at least one latency is needed, or --clear");
    }
}

Request chosen(const CLI::App& program, Words& words)
{
    if (program.got_subcommand("locate")) {
        return std::move(words.locate);
    }
    if (program.got_subcommand("measure")) {
        return std::move(words.measure);
    }
    if (program.got_subcommand("explain")) {
        return std::move(words.explain);
    }
    if (program.got_subcommand("zero")) {
        return std::move(words.zero);
    }
    if (program.got_subcommand("timebase")) {
        return std::move(words.timeBase);
    }
    if (program.got_subcommand("film")) {
        return std::move(words.film);
    }
    if (program.got_subcommand("compare")) {
        return std::move(words.compare);
    }
    if (program.got_subcommand("reckon")) {
        return std::move(words.reckon);
    }
    if (program.got_subcommand("session")) {
        return std::move(words.session);
    }
    WindowFiles window;
    std::ranges::copy(words.files, std::back_inserter(window.files));
    return window;
}

/// "twinlamp measure --help" after "measure" was read, else "twinlamp --help".
std::string helpCall(const CLI::App& program)
{
    std::string call = "twinlamp";
    for (auto read = program.get_subcommands(); !read.empty();
         read = read.back()->get_subcommands()) {
        call += " " + read.back()->get_name();
    }
    return call + " --help";
}

} // namespace

Result<CommandLine> parseCommandLine(const std::vector<std::string>& words)
{
    CLI::App program(
        "Twinlamp: glass-to-glass latency of FPV video links, measured from high-speed "
        "footage of a lamp pair",
        "twinlamp");
    Words storage;
    describe(program, storage);
    try {
        // CLI11 takes the words from the back.
        std::vector<std::string> reversed(words.rbegin(), words.rend());
        program.parse(std::move(reversed));
        checkOutputs(storage.measure);
        checkReadouts(storage.session);
        if (program.got_subcommand("film")) {
            checkFilm(storage.film);
        }
        if (program.got_subcommand("explain")) {
            checkExplain(storage.explain);
        }
    } catch (const CLI::CallForHelp&) {
        return CommandLine {TextRequest {program.help()}, storage.verbose};
    } catch (const CLI::CallForVersion& call) {
        return CommandLine {TextRequest {std::string(call.what()) + "\n"}, storage.verbose};
    } catch (const CLI::Error& error) {
        return fail(Stage::Command, Cause::InvalidValue,
            commands::onOneLine(error.what()) + " (see " + helpCall(program) + ")");
    }
    return CommandLine {chosen(program, storage), storage.verbose};
}

} // namespace twinlamp::app

// SPDX-License-Identifier: GPL-3.0-or-later
// The words of `twinlamp session`.
#include "app/command_line_conditions.h"
#include "app/help_texts.h"
#include "app/option_values.h"

#include <memory>
#include <utility>

namespace twinlamp::app {

namespace {

using commands::SessionArguments;

constexpr auto howItMerges
    = "Clips are the same where their content is. Link settings and rigs of one name are the same\n"
      "where they contradict each other nowhere; otherwise the one that comes in gets another "
      "name.\n"
      "Runs are the same where they share a clip, for a run of the same name is another power-up.\n"
      "What cannot stand beside each other is told, and kept in the history. The others are only\n"
      "read. To be able to go back, merge with --keep-copy: the session as it was then stands\n"
      "beside it, and is put back by giving it the session's name.\n\n";

constexpr auto whatIsExported
    = "A copy is one file that opens anywhere. Without traces it is small: every figure, doubt "
      "and\n"
      "correction is in it, but no press can be drawn until its clip is measured again. It names\n"
      "your account in its history, and the folders of the clips; to publish it, leave them out\n"
      "with --without-accounts. What was typed (names, notes, reasons) stays as it is: read it "
      "first.\n\n";

constexpr auto whatAgrees
    = "Readout less measured latency, on edges alone (J. M. Bland, D. G. Altman 1986, 1999): the\n"
      "bias, the limits of agreement that hold 95 % of the differences, and whether the "
      "difference\n"
      "changes with the latency. The verdict takes runs as the blocks and needs three. A readout\n"
      "holds what its maker counts as latency, which may be less than from glass to glass.\n\n";

/// Each task keeps its values until the words are read; the one that was asked for then lands in
/// the arguments.
template<typename Task>
CLI::App* addTask(CLI::App& session, SessionArguments& arguments, bool& verbose,
    const std::shared_ptr<Task>& task, std::pair<const char*, const char*> nameAndHelp)
{
    CLI::App* command = session.add_subcommand(nameAndHelp.first, nameAndHelp.second);
    command->add_flag("--verbose", verbose, "Write the log to standard error as well");
    command->footer(exitStatuses);
    command
        ->add_option_function<std::string>(
            "SESSION", [&arguments](const std::string& text) { arguments.session = text; },
            "The session (NAME.twinlamp)")
        ->type_name("")
        ->required();
    addOutput(
        *command, arguments.jsonFile, "--json", "Write the result as JSON; - is standard output");
    command->callback([&arguments, task] { arguments.task = *task; });
    return command;
}

template<typename Target>
CLI::Option* addWord(CLI::App& command, Target& target, const char* name, const char* help)
{
    return command
        .add_option_function<std::string>(
            name, [&target](const std::string& text) { target = text; }, help)
        ->type_name("");
}

void addMerge(CLI::App& session, SessionArguments& arguments, bool& verbose)
{
    const auto task = std::make_shared<commands::MergeSessions>();
    CLI::App* command = addTask(session, arguments, verbose, task,
        {"merge", "Bring other sessions into this one, nothing lost and nothing doubled"});
    command->footer(std::string(howItMerges) + exitStatuses);
    command
        ->add_option_function<std::vector<std::string>>(
            "OTHERS",
            [task](const std::vector<std::string>& texts) {
                task->others.assign(texts.begin(), texts.end());
            },
            "The sessions to bring in")
        ->type_name("")
        ->required();
    addValue<session::Prefer>(*command, task->prefer,
        {"--prefer", "here|there", "one of here, there",
            oneOf<session::Prefer>(
                {{"here", session::Prefer::Here}, {"there", session::Prefer::There}}),
            "Which of two values stands where both cannot (here)"});
    command->add_flag("--keep-copy", task->keepsCopy,
        "First write the session as it is to 'NAME before merge DATE TIME.twinlamp' beside it");
}

void addExport(CLI::App& session, SessionArguments& arguments, bool& verbose)
{
    const auto task = std::make_shared<commands::ExportSession>();
    CLI::App* command = addTask(session, arguments, verbose, task,
        {"export", "Write the session to another file, with or without its traces"});
    command->footer(std::string(whatIsExported) + exitStatuses);
    command
        ->add_option_function<std::string>(
            "-o,--output", [task](const std::string& text) { task->output = text; },
            "The new session (NAME.twinlamp); must not exist")
        ->type_name("FILE")
        ->required();
    command->add_flag_callback(
        "--without-traces", [task] { task->withTraces = false; },
        "Leave out the traces and the fitted models");
    command->add_flag_callback(
        "--without-accounts", [task] { task->withPersons = false; },
        "Leave out the names of accounts and the folders of clips");
}

void addRelink(CLI::App& session, SessionArguments& arguments, bool& verbose)
{
    const auto task = std::make_shared<commands::RelinkClips>();
    CLI::App* command = addTask(session, arguments, verbose, task,
        {"relink", "Find footage again that was moved, by its content"});
    addWord(*command, task->folder, "FOLDER", "Where to look, with all folders below it")
        ->required();
}

void addReadout(CLI::App& session, SessionArguments& arguments, bool& verbose)
{
    const auto task = std::make_shared<commands::TypeReadouts>();
    CLI::App* command = addTask(session, arguments, verbose, task,
        {"readout", "Type in latencies that the goggle displays about itself"});
    addWord(*command, task->setting, "SETTING", "Name of a link setting")->required();
    command
        ->add_option_function<std::vector<std::string>>(
            "MS",
            [task](const std::vector<std::string>& texts) {
                for (const std::string& text : texts) {
                    const auto value = parsePositiveMs(text);
                    if (!value) {
                        throw CLI::ValidationError("MS",
                            "'" + text
                                + "' is not a time in ms above 0 and up to 3600000, with a decimal "
                                  "point");
                    }
                    task->latenciesMs.push_back(*value);
                }
            },
            "What it displayed, ms")
        ->type_name("");
    CLI::Option* clip = addWord(*command, task->clip, "--clip",
        "They belong to presses of this clip (name of its file), in their order");
    clip->type_name("NAME");
    addValue<int>(*command, task->press,
        {"--press", "N", "the number of a press, from 1", parsePressNumber,
            "The press that the first one belongs to; the others belong to the next ones of its "
            "edge kind (1)"})
        ->needs(clip);
    addWord(*command, task->note, "--note", "Kept with readouts of the setting as a whole")
        ->type_name("TEXT")
        ->excludes(clip);
    command->add_flag("--clear", task->clear, "Take those that are there away first");
}

void addFigures(CLI::App& session, SessionArguments& arguments, bool& verbose)
{
    const auto task = std::make_shared<commands::ShowFigures>();
    CLI::App* command = addTask(session, arguments, verbose, task,
        {"figures", "What the link settings measured: one of them in full, several in a table"});
    command
        ->add_option_function<std::vector<std::string>>(
            "SETTINGS", [task](const std::vector<std::string>& names) { task->settings = names; },
            "Names of link settings (all)")
        ->type_name("");
    addValue<double>(*command, task->lateLimitMs,
        {"--late-limit", "MS", "a time in ms above 0 and up to 3600000, with a decimal point",
            parsePositiveMs, "A press that took longer, or was lost, is late (the session's)"});
}

void addAgreement(CLI::App& session, SessionArguments& arguments, bool& verbose)
{
    const auto task = std::make_shared<commands::CheckReadouts>();
    CLI::App* command = addTask(session, arguments, verbose, task,
        {"agreement", "How far the goggle's readouts agree with the measured latencies"});
    command->footer(std::string(whatAgrees) + exitStatuses);
    addWord(*command, task->setting, "--setting", "Of this link setting alone")->type_name("NAME");
    addValue<report::PairsOf>(*command, task->of,
        {"--of", "presses|settings", "one of presses, settings",
            oneOf<report::PairsOf>(
                {{"presses", report::PairsOf::Presses}, {"settings", report::PairsOf::Settings}}),
            "Readouts of presses against their latencies, or the medians of settings against their "
            "medians (presses)"});
}

} // namespace

void addSession(CLI::App& program, bool& verbose, SessionArguments& arguments)
{
    CLI::App* session = addCommand(program, verbose, "session",
        "Look into a session, bring others in, copy it, find its clips, check readouts");
    session->require_subcommand(1);
    addTask(*session, arguments, verbose, std::make_shared<commands::ShowSession>(),
        {"show", "What the session holds"});
    addTask(*session, arguments, verbose, std::make_shared<commands::ShowHistory>(),
        {"history", "Who changed what, when, from what to what"});
    addFigures(*session, arguments, verbose);
    const auto conditions = std::make_shared<commands::TellConditions>();
    CLI::App* tell = addTask(*session, arguments, verbose, conditions,
        {"conditions", "What a link setting was set to: shown, or told with an option for each"});
    tell->footer(
        std::string("A condition that is told as 'open' is taken back.\n\n") + exitStatuses);
    addConditions(*tell, conditions);
    addMerge(*session, arguments, verbose);
    addExport(*session, arguments, verbose);
    addRelink(*session, arguments, verbose);
    addReadout(*session, arguments, verbose);
    addAgreement(*session, arguments, verbose);
}

} // namespace twinlamp::app

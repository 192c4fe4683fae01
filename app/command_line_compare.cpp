// SPDX-License-Identifier: GPL-3.0-or-later
// The words of `twinlamp compare`.
#include "app/command_line_parts.h"
#include "app/help_texts.h"
#include "app/option_values.h"

namespace twinlamp::app {

namespace {

constexpr auto howItCompares
    = "Runs are the blocks: each setting needs 3 or more, the link restarted in between, and\n"
      "nothing is told apart with fewer. The verdicts on shift, spread and late share (and the\n"
      "margin) err together: their p-values are adjusted by Holm, so that settings that are the\n"
      "same are told apart in any of them in 5 % of campaigns at most. A lost answer counts as\n"
      "later than any limit. On edges alone are compared.\n"
      "Three settings or more are ranked by latency, the p-values of all pairs adjusted by "
      "Holm.\n\n";

} // namespace

void addCompare(CLI::App& program, bool& verbose, commands::CompareArguments& arguments)
{
    CLI::App* command = addCommand(program, verbose, "compare",
        "Compare two link settings of a session: which is faster, steadier, less often late; rank "
        "more of them");
    command->footer(std::string(howItCompares) + exitStatuses);
    const auto addWord = [command](std::string& target, const char* name, const char* help) {
        command
            ->add_option_function<std::string>(
                name, [&target](const std::string& text) { target = text; }, help)
            ->type_name("");
    };
    command
        ->add_option_function<std::string>(
            "SESSION", [&arguments](const std::string& text) { arguments.session = text; },
            "The session (NAME.twinlamp)")
        ->type_name("")
        ->required();
    addWord(arguments.a, "A", "Name of a link setting");
    addWord(arguments.b, "B", "Name of another one: differences are B less A");
    command
        ->add_option("MORE", arguments.others, "Names of more: all are then ranked, pair by pair")
        ->type_name("");
    command->add_flag("--all", arguments.all,
        "Every link setting of the session, without naming them: three or more are ranked");
    command->callback([&arguments] {
        if (arguments.all ? !arguments.a.empty() : arguments.b.empty()) {
            throw CLI::ValidationError("compare",
                arguments.all ? "takes either names of link settings or --all"
                              : "needs the names of two link settings, or --all");
        }
    });
    addValue<stats::Figure>(*command, arguments.of,
        {"--of", "first-light|full-frame", "one of first-light, full-frame",
            oneOf<stats::Figure>({{"first-light", stats::Figure::FirstLight},
                {"full-frame", stats::Figure::FullFrame}}),
            "Which latency to compare (first-light)"});
    constexpr auto timeTakes = "a time in ms above 0 and up to 3600000, with a decimal point";
    addValue<double>(*command, arguments.lateLimitMs,
        {"--late-limit", "MS", timeTakes, parsePositiveMs,
            "Compare the shares of presses over this limit (the session's, where it has one)"});
    addValue<double>(*command, arguments.marginMs,
        {"--margin", "MS", timeTakes, parsePositiveMs,
            "A shift up to this is of no interest: adds the verdict same-within"});
    addOutput(*command, arguments.jsonFile, "--json",
        "Write the comparison as JSON; - is standard output");
}

} // namespace twinlamp::app

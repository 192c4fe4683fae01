// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/command_line.h"
#include "app/commands/output_file.h"
#include "app/explanation_drawing.h"
#include "app/logging.h"
#include "app/stop_signals.h"
#include "app/user_folders.h"
#include "app/window_start.h"
#include "core/base/version.h"

#include <csignal>
#include <exception>
#include <iostream>
#include <spdlog/spdlog.h>
#include <string>
#include <unistd.h>
#include <variant>
#include <vector>

namespace {

using namespace twinlamp;
using commands::CommandContext;
using commands::ExitStatus;

ExitStatus printText(const app::TextRequest& request)
{
    const CommandContext context {std::cout, std::cerr, {}, false};
    const auto written = commands::writeOutput(context, "-", request.text);
    return written ? ExitStatus::Done : commands::reportError(context, written.error());
}

/// Without a list of its own, `film --samples` takes the one that came with the program.
commands::FilmArguments withSampleList(commands::FilmArguments film)
{
    if (!film.samplesFolder.empty() && film.samplesList.empty()) {
        film.samplesList = app::sampleScenesFolder() / "samples.json";
    }
    return film;
}

int shellStatus(ExitStatus status)
{
    constexpr int signalBase = 128;
    if (status == ExitStatus::Stopped && app::StopSignals::received() == SIGTERM) {
        return signalBase + SIGTERM;
    }
    return static_cast<int>(status);
}

int runCommand(const app::Request& request)
{
    const app::StopSignals signals;
    // Whoever reads this line in the log knows that a signal now stops the command tidily.
    spdlog::info("twinlamp {} starts a command", version());
    const CommandContext context {
        std::cout, std::cerr, signals.token(), ::isatty(STDERR_FILENO) == 1};
    ExitStatus status = ExitStatus::WrongWords;
    if (const auto* locate = std::get_if<commands::LocateArguments>(&request)) {
        status = commands::runLocate(*locate, context);
    } else if (const auto* measure = std::get_if<commands::MeasureArguments>(&request)) {
        status = commands::runMeasure(*measure, context);
    } else if (const auto* explain = std::get_if<commands::ExplainArguments>(&request)) {
        status = commands::runExplain(*explain, context, app::drawExplanation);
    } else if (const auto* zero = std::get_if<commands::ZeroArguments>(&request)) {
        status = commands::runZero(*zero, context);
    } else if (const auto* timeBase = std::get_if<commands::TimeBaseArguments>(&request)) {
        status = commands::runTimeBase(*timeBase, context);
    } else if (const auto* film = std::get_if<commands::FilmArguments>(&request)) {
        status = commands::runFilm(withSampleList(*film), context);
    } else if (const auto* compare = std::get_if<commands::CompareArguments>(&request)) {
        status = commands::runCompare(*compare, context);
    } else if (const auto* reckon = std::get_if<commands::ReckonArguments>(&request)) {
        status = commands::runReckon(*reckon, context);
    } else if (const auto* session = std::get_if<commands::SessionArguments>(&request)) {
        status = commands::runSession(*session, context);
    }
    return shellStatus(status);
}

int run(int argc, char** argv)
{
    const std::vector<std::string> words(argv + (argc > 0 ? 1 : 0), argv + argc);
    const auto line = app::parseCommandLine(words);
    if (!line) {
        std::cerr << "twinlamp: " << line.error().detail << '\n';
        return static_cast<int>(ExitStatus::WrongWords);
    }
    if (const auto* text = std::get_if<app::TextRequest>(&line->request)) {
        return static_cast<int>(printText(*text));
    }
    app::startLogging(app::stateFolder(), line->verbose);
    if (const auto* window = std::get_if<app::WindowFiles>(&line->request)) {
        spdlog::info("twinlamp {} opens the window", version());
        return app::startWindow(argc, argv, *window, std::cerr);
    }
    return runCommand(line->request);
}

} // namespace

int main(int argc, char** argv)
{
    // A reader that goes away early (… | head) shows as a failed write, not as a sudden end.
    std::signal(SIGPIPE, SIG_IGN);
    try {
        return run(argc, argv);
    } catch (const std::exception& error) {
        std::cerr << "twinlamp: ended by a fault of its own (" << error.what()
                  << "); please report it with the log file\n";
        return static_cast<int>(ExitStatus::Unreadable);
    }
}

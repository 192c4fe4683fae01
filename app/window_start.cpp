// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window_start.h"

#include "app/commands/command.h"
#include "app/user_folders.h"

#include <algorithm>
#include <cstdlib>
#include <string>
#include <string_view>
#include <system_error>

#ifdef TWINLAMP_WITH_WINDOW
#include "ui/window_main.h"
#endif

namespace twinlamp::app {

namespace {

using commands::ExitStatus;

int refuse(std::ostream& err, ExitStatus status, const std::string& reason)
{
    err << "twinlamp: " << reason << '\n';
    return static_cast<int>(status);
}

bool isSet(const char* variable)
{
    const char* text = std::getenv(variable);
    return text != nullptr && *text != '\0';
}

/// Qt ends the process with a core dump where it finds no display; ask before it does.
[[maybe_unused]] bool hasDisplay()
{
    return isSet("DISPLAY") || isSet("WAYLAND_DISPLAY") || isSet("QT_QPA_PLATFORM");
}

/// "mesure" is a misspelt command rather than a file that has gone.
bool looksLikeCommand(const std::filesystem::path& word)
{
    return !word.empty() && std::ranges::all_of(word.string(), [](char c) {
        return (c >= 'a' && c <= 'z') || c == '-';
    });
}

} // namespace

int startWindow([[maybe_unused]] int argc, [[maybe_unused]] char** argv, const WindowFiles& window,
    std::ostream& err)
{
    for (const auto& file : window.files) {
        std::error_code ignored;
        if (std::filesystem::exists(file, ignored)) {
            continue;
        }
        return looksLikeCommand(file)
            ? refuse(err, ExitStatus::WrongWords,
                "'" + file.string()
                    + "' is neither a command nor a file; twinlamp --help lists the commands")
            : refuse(err, ExitStatus::Unreadable,
                file.string() + " does not exist; check the name and the folder");
    }
#ifdef TWINLAMP_WITH_WINDOW
    if (!hasDisplay()) {
        return refuse(err, ExitStatus::WrongWords,
            "there is no display for the window; use a command such as twinlamp measure CLIP "
            "(twinlamp --help lists them)");
    }
    return ui::runWindow(argc, argv, {window.files, sampleScenesFolder() / "samples.json"});
#else
    return refuse(err, ExitStatus::WrongWords,
        "this build has no window; use a command such as twinlamp measure CLIP (twinlamp --help "
        "lists them)");
#endif
}

} // namespace twinlamp::app

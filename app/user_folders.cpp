// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/user_folders.h"

#include <cstdlib>
#include <system_error>

namespace twinlamp::app {

namespace {

std::filesystem::path absoluteFromEnvironment(const char* variable)
{
    const char* text = std::getenv(variable);
    const std::filesystem::path path = text == nullptr ? "" : text;
    return path.is_absolute() ? path : std::filesystem::path {};
}

std::filesystem::path folder(const char* variable, const char* belowHome)
{
    if (const auto base = absoluteFromEnvironment(variable); !base.empty()) {
        return base / "twinlamp";
    }
    const auto home = absoluteFromEnvironment("HOME");
    return home.empty() ? std::filesystem::path {} : home / belowHome / "twinlamp";
}

} // namespace

std::filesystem::path stateFolder() { return folder("XDG_STATE_HOME", ".local/state"); }

std::filesystem::path sampleScenesFolder()
{
    std::error_code ignored;
    const auto program = std::filesystem::read_symlink("/proc/self/exe", ignored).parent_path();
    // PREFIX/bin/twinlamp and PREFIX/share; SOURCES/.build/PRESET/app/twinlamp and SOURCES/samples.
    for (const char* below : {"../share/twinlamp/samples", "../../../samples"}) {
        auto folder = (program / below).lexically_normal();
        if (!program.empty() && std::filesystem::exists(folder / "samples.json", ignored)) {
            return folder;
        }
    }
    return "samples";
}

std::filesystem::path dataFolder() { return folder("XDG_DATA_HOME", ".local/share"); }

} // namespace twinlamp::app

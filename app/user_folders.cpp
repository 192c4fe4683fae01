// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/user_folders.h"

#include <cstdlib>

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

std::filesystem::path dataFolder() { return folder("XDG_DATA_HOME", ".local/share"); }

} // namespace twinlamp::app

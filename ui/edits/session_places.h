// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>

namespace twinlamp::ui {

inline constexpr const char* sessionSuffix = ".twinlamp";

/// Where new sessions go by themselves: a folder of ours in the user's documents.
[[nodiscard]] std::filesystem::path sessionFolder();
/// STEM.twinlamp in that folder, or the first of STEM-2, STEM-3 … that is free.
[[nodiscard]] std::filesystem::path freeSessionPath(const std::string& stem);

/// Session that was open last; empty where there is none.
[[nodiscard]] std::filesystem::path lastSession();
void rememberSession(const std::filesystem::path& file);

} // namespace twinlamp::ui

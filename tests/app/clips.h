// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>

namespace twinlamp::tests {

/// Clip filmed from tests/app/scenes/NAME.json by the CTest fixture filmed-clips; its truth stands
/// beside it. Fails the test where it is missing: run through ctest, or the fixture by hand first.
[[nodiscard]] std::filesystem::path clip(const std::string& name);
[[nodiscard]] std::filesystem::path truthOf(const std::string& name);
[[nodiscard]] std::filesystem::path scene(const std::string& name);

} // namespace twinlamp::tests

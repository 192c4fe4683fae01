// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace twinlamp::tests {

/// One file of the tree. `path` is relative to the top, with forward slashes.
struct SourceFile
{
    std::string path;
    std::string text;
};

/// A broken rule, as "path:line: what is wrong" or "path: what is wrong".
using Violations = std::vector<std::string>;

/// Files of our own below `top`: sources, scripts, CMake lists, resources. Build folders and the
/// history are left out.
[[nodiscard]] std::vector<SourceFile> readSourceTree(const std::filesystem::path& top);

/// Includes that run against the direction of the parts: lower parts know nothing of higher ones.
[[nodiscard]] Violations wrongDirection(const SourceFile& file);

/// Libraries outside the folders that may use them: Qt in core and commands, libav* outside footage
/// and film, SQLite outside session/store, CLI11 outside the command line.
[[nodiscard]] Violations wrongLibrary(const SourceFile& file);

/// The licence line has to be among the first three (an interpreter or a document type may come
/// before it).
[[nodiscard]] Violations missingLicence(const SourceFile& file);

/// Sources of the program that are longer than a reader takes in.
[[nodiscard]] Violations tooLong(const SourceFile& file);

} // namespace twinlamp::tests

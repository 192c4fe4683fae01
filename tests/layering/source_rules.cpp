// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/layering/source_rules.h"

#include <algorithm>
#include <array>
#include <fstream>
#include <functional>
#include <iterator>
#include <map>
#include <optional>
#include <set>
#include <sstream>

namespace twinlamp::tests {

namespace {

namespace fs = std::filesystem;

using Parts = std::set<std::string, std::less<>>;

/// What each part of core may include besides itself: the arrows of DEVELOPERS.md, "Map of
/// targets", followed to their ends.
const std::map<std::string, Parts, std::less<>>& allowedInCore()
{
    static const std::map<std::string, Parts, std::less<>> allowed {
        {"base", {}},
        {"stats", {"base"}},
        {"link", {"base", "stats"}},
        {"session", {"base"}},
        {"footage", {"base"}},
        {"rig", {"base", "stats"}},
        {"trace", {"base", "footage"}},
        {"onset", {"base", "footage", "trace", "rig"}},
        {"panel", {"base", "footage", "trace", "rig", "onset"}},
        {"picture", {"base", "footage", "trace"}},
        {"measure", {"base", "footage", "trace", "rig", "onset", "panel"}},
        {"report", {"base", "session", "stats"}},
        {"film", {"base", "footage"}},
    };
    return allowed;
}

bool startsWith(std::string_view text, std::string_view start) { return text.starts_with(start); }

bool isCpp(const SourceFile& file)
{
    return file.path.ends_with(".cpp") || file.path.ends_with(".h");
}

/// "core/onset/edge_model.h" gives {"core", "onset", "edge_model.h"}.
std::vector<std::string> split(std::string_view path)
{
    std::vector<std::string> parts;
    std::istringstream stream {std::string(path)};
    for (std::string part; std::getline(stream, part, '/');) {
        parts.push_back(part);
    }
    return parts;
}

struct Include
{
    int line = 0;
    std::string path; ///< without quotes or brackets
};

std::vector<Include> includesOf(const SourceFile& file)
{
    std::vector<Include> includes;
    std::istringstream stream(file.text);
    int number = 0;
    for (std::string line; std::getline(stream, line);) {
        ++number;
        const std::size_t hash = line.find_first_not_of(" \t");
        if (hash == std::string::npos || line[hash] != '#') {
            continue;
        }
        const std::size_t word = line.find_first_not_of(" \t", hash + 1);
        if (word == std::string::npos || line.compare(word, 7, "include") != 0) {
            continue;
        }
        const std::size_t open = line.find_first_of("\"<", word);
        const std::size_t close
            = open == std::string::npos ? open : line.find_first_of("\">", open + 1);
        if (close != std::string::npos) {
            includes.push_back({number, line.substr(open + 1, close - open - 1)});
        }
    }
    return includes;
}

std::string at(const SourceFile& file, int line, const std::string& what)
{
    return file.path + ":" + std::to_string(line) + ": " + what;
}

/// Why a file in `from` may not include a file in `to`; nothing where it may.
std::optional<std::string> forbidden(
    const std::vector<std::string>& from, const std::vector<std::string>& to)
{
    static const Parts ours {"app", "core", "ui", "tests"};
    if (from.empty() || to.size() < 2 || !ours.contains(to.front())) {
        return std::nullopt;
    }
    const std::string& layer = from.front();
    const std::string& target = to.front();
    if (target == "tests" && layer != "tests") {
        return layer + " may not include tests";
    }
    if (layer == "core" && target != "core") {
        return "core may not include " + target;
    }
    if (layer == "ui" && target == "app") {
        return "ui may not include app";
    }
    if (layer == "app" && from.size() > 2 && from[1] == "commands" && target == "ui") {
        return "commands may not include ui";
    }
    if (layer == "core" && from.size() > 2 && to.size() > 2 && from[1] != to[1]) {
        const auto part = allowedInCore().find(from[1]);
        if (part == allowedInCore().end()) {
            return "core/" + from[1] + " has no place in the map of targets";
        }
        if (!part->second.contains(to[1])) {
            return "core/" + from[1] + " may not include core/" + to[1];
        }
    }
    return std::nullopt;
}

bool isQt(std::string_view include)
{
    const bool className
        = include.size() > 1 && include[0] == 'Q' && include[1] >= 'A' && include[1] <= 'Z';
    return className || startsWith(include, "Qt") || startsWith(include, "qcustomplot")
        || startsWith(include, "qt");
}

bool isLibav(std::string_view include)
{
    return startsWith(include, "libav") || startsWith(include, "libsw");
}

bool isSqlite(std::string_view include)
{
    return startsWith(include, "sqlite3") || startsWith(include, "SQLiteCpp");
}

/// A library, where it may be used, and what to say where it is not.
struct LibraryRule
{
    bool (*isOfLibrary)(std::string_view include);
    bool (*mayUse)(std::string_view path);
    const char* what;
};

constexpr std::array libraryRules {
    LibraryRule {isQt,
        [](std::string_view path) {
            return !startsWith(path, "core/") && !startsWith(path, "app/commands/")
                && !startsWith(path, "tests/core/");
        },
        "Qt belongs in ui; core and commands build without it"},
    LibraryRule {[](std::string_view include) { return startsWith(include, "qcustomplot"); },
        [](std::string_view path) { return startsWith(path, "ui/plots/"); },
        "QCustomPlot is included through one header in ui/plots"},
    LibraryRule {isLibav,
        [](std::string_view path) {
            return startsWith(path, "core/footage/") || startsWith(path, "core/film/")
                || startsWith(path, "tests/");
        },
        "libav* belongs in core/footage and core/film"},
    LibraryRule {isSqlite,
        [](std::string_view path) {
            return startsWith(path, "core/session/store/") || startsWith(path, "tests/");
        },
        "SQLite belongs in core/session/store"},
    LibraryRule {[](std::string_view include) { return startsWith(include, "CLI/"); },
        [](std::string_view path) { return startsWith(path, "app/command_line_parts."); },
        "CLI11 is included through app/command_line_parts.h"},
};

bool carriesLicence(std::string_view path)
{
    static constexpr std::array<std::string_view, 11> endings {".cpp", ".h", ".cmake", ".bash",
        ".in", ".svg", ".xml", ".qrc", ".desktop", "CMakeLists.txt", ".qss"};
    const bool byEnding = std::ranges::any_of(
        endings, [path](std::string_view ending) { return path.ends_with(ending); });
    return byEnding || path.ends_with("/run") || path.ends_with(".clang-tidy");
}

std::string readFile(const fs::path& path)
{
    std::ifstream stream(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
}

} // namespace

std::vector<SourceFile> readSourceTree(const fs::path& top)
{
    std::vector<SourceFile> files;
    for (const char* folder :
        {"app", "core", "ui", "tests", "cmake", "resources", "samples", ".ci"}) {
        if (!fs::exists(top / folder)) {
            continue;
        }
        for (const auto& entry : fs::recursive_directory_iterator(top / folder)) {
            if (entry.is_regular_file()) {
                files.push_back(
                    {fs::relative(entry.path(), top).generic_string(), readFile(entry.path())});
            }
        }
    }
    files.push_back({"CMakeLists.txt", readFile(top / "CMakeLists.txt")});
    files.push_back({".clang-tidy", readFile(top / ".clang-tidy")});
    std::ranges::sort(files, {}, &SourceFile::path);
    return files;
}

Violations wrongDirection(const SourceFile& file)
{
    Violations violations;
    if (!isCpp(file)) {
        return violations;
    }
    const std::vector<std::string> from = split(file.path);
    for (const Include& include : includesOf(file)) {
        if (const auto reason = forbidden(from, split(include.path))) {
            violations.push_back(at(file, include.line, *reason));
        }
    }
    return violations;
}

Violations wrongLibrary(const SourceFile& file)
{
    Violations violations;
    if (file.path.ends_with("CMakeLists.txt") && startsWith(file.path, "core/")
        && file.text.find("Qt6") != std::string::npos) {
        violations.push_back(file.path + ": core is built without Qt");
    }
    if (!isCpp(file)) {
        return violations;
    }
    for (const Include& include : includesOf(file)) {
        for (const LibraryRule& rule : libraryRules) {
            if (rule.isOfLibrary(include.path) && !rule.mayUse(file.path)) {
                violations.push_back(at(file, include.line, rule.what));
            }
        }
    }
    return violations;
}

Violations missingLicence(const SourceFile& file)
{
    if (!carriesLicence(file.path)) {
        return {};
    }
    constexpr int firstLines = 3;
    std::istringstream stream(file.text);
    std::string line;
    for (int i = 0; i < firstLines && std::getline(stream, line); ++i) {
        if (line.find("SPDX-License-Identifier: GPL-3.0-or-later") != std::string::npos) {
            return {};
        }
    }
    return {file.path + ": no SPDX line for GPL-3.0-or-later at its top"};
}

Violations tooLong(const SourceFile& file)
{
    constexpr auto mostLines = 500;
    const bool ours = startsWith(file.path, "app/") || startsWith(file.path, "core/")
        || startsWith(file.path, "ui/");
    const auto lines = std::ranges::count(file.text, '\n');
    if (!ours || !isCpp(file) || lines <= mostLines) {
        return {};
    }
    return {file.path + ": " + std::to_string(lines) + " lines; split it at "
        + std::to_string(mostLines)};
}

} // namespace twinlamp::tests

// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/support/golden.h"

#include "core/base/version.h"

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <gtest/gtest.h>
#include <iterator>
#include <sstream>

namespace twinlamp::tests {

namespace {

constexpr std::string_view placeholder = "VERSION";

void replaceAll(std::string& text, std::string_view what, std::string_view by)
{
    for (std::size_t at = text.find(what); at != std::string::npos;
         at = text.find(what, at + by.size())) {
        text.replace(at, what.size(), by);
    }
}

/// "line 3: expected "a", found "b""; empty where both are equal.
std::string firstDifference(const std::string& expected, const std::string& found)
{
    std::istringstream expectedLines(expected);
    std::istringstream foundLines(found);
    for (int number = 1; expectedLines || foundLines; ++number) {
        std::string expectedLine;
        std::string foundLine;
        std::getline(expectedLines, expectedLine);
        std::getline(foundLines, foundLine);
        if (expectedLine != foundLine) {
            return "line " + std::to_string(number) + "\n  expected: " + expectedLine
                + "\n  found:    " + foundLine;
        }
    }
    return expected == found ? std::string() : std::string("line ends differ");
}

} // namespace

void expectGolden(std::string_view name, std::string text)
{
    const std::filesystem::path file = std::filesystem::path(TWINLAMP_GOLDEN_DIR) / name;
    replaceAll(text, version(), placeholder);
    if (std::getenv("TWINLAMP_RENEW_GOLDEN") != nullptr) {
        std::ofstream(file, std::ios::binary) << text;
        ADD_FAILURE() << name << " was renewed; read the diff, then run the test again";
        return;
    }
    std::ifstream stream(file, std::ios::binary);
    ASSERT_TRUE(stream) << file << " is missing; make it with tests/golden/renew";
    const std::string expected(std::istreambuf_iterator<char>(stream), {});
    EXPECT_TRUE(expected == text) << name << ", " << firstDifference(expected, text);
}

} // namespace twinlamp::tests

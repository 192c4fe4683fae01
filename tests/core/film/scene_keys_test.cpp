// SPDX-License-Identifier: GPL-3.0-or-later
// The tables of samples/README.md against the reader: every key is there, and each printed default
// is the one that a scene without the key has.
#include "core/film/scene_reader.h"

#include <algorithm>
#include <fstream>
#include <gtest/gtest.h>
#include <map>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

namespace twinlamp::film {

using nlohmann::json;

namespace {

/// Text between the backticks of a table cell; empty where the cell is not just that.
std::string quoted(std::string cell)
{
    const auto first = cell.find_first_not_of(' ');
    const auto last = cell.find_last_not_of(' ');
    if (first == std::string::npos || last <= first || cell[first] != '`' || cell[last] != '`') {
        return {};
    }
    return cell.substr(first + 1, last - first - 1);
}

/// Key and printed default of each table row that has both: | key | unit | default | ...
std::map<std::string, std::string> documentedKeys()
{
    std::map<std::string, std::string> keys;
    std::ifstream stream(TWINLAMP_SAMPLES_README);
    for (std::string line; std::getline(stream, line);) {
        std::vector<std::string> cells;
        std::stringstream rest(line);
        for (std::string cell; std::getline(rest, cell, '|');) {
            cells.push_back(cell);
        }
        constexpr std::size_t leastCells = 6; // the first one is empty
        if (cells.size() >= leastCells && !quoted(cells[1]).empty() && !quoted(cells[3]).empty()) {
            keys[quoted(cells[1])] = quoted(cells[3]);
        }
    }
    return keys;
}

json sceneWith(const std::string& key, const json& value)
{
    std::string path = "/" + key;
    std::ranges::replace(path, '.', '/');
    json scene = json::object();
    scene[json::json_pointer(path)] = value;
    return scene;
}

} // namespace

TEST(SceneKeys, EachIsDocumented)
{
    const auto documented = documentedKeys();
    for (const std::string& key : sceneKeys()) {
        EXPECT_TRUE(documented.contains(key)) << key << " has no row in samples/README.md";
    }
    EXPECT_EQ(documented.size(), sceneKeys().size());
}

TEST(SceneKeys, PrintedDefaultIsTheRealOne)
{
    for (const auto& [key, text] : documentedKeys()) {
        const json value = json::parse(text, nullptr, false);
        ASSERT_FALSE(value.is_discarded()) << key << " " << text;
        const auto with = sceneFromJson(sceneWith(key, value), "test");
        ASSERT_TRUE(with.has_value()) << key << ": " << with.error().detail;
        // The parts that are left out by default appear with any of their keys.
        json without = json::object();
        if (key.starts_with("lamps.pwm.")) {
            without["lamps"]["pwm"] = json::object();
        } else if (key.starts_with("panel.strobe.")) {
            without["panel"]["strobe"] = json::object();
        }
        const auto plain = sceneFromJson(without, "test");
        ASSERT_TRUE(plain.has_value());
        EXPECT_TRUE(*with == *plain) << key << " is not " << text << " by default";
    }
}

} // namespace twinlamp::film

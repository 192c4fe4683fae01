// SPDX-License-Identifier: GPL-3.0-or-later
// The tables of samples/README.md against the reader: every key is there, and each printed default
// is the one that a scene without the key has.
#include "core/film/scene_reader.h"

#include <fstream>
#include <gtest/gtest.h>
#include <map>
#include <nlohmann/json.hpp>
#include <regex>
#include <string>

namespace twinlamp::film {

using nlohmann::json;

namespace {

/// Key and printed default of each table row that starts with a key.
std::map<std::string, std::string> documentedKeys()
{
    std::map<std::string, std::string> keys;
    std::ifstream stream(TWINLAMP_SAMPLES_README);
    const std::regex row(R"(^\| `([a-z0-9_.]+)` \|[^|]*\| `([^`]*)` \|.*\|.*\|$)");
    std::smatch match;
    for (std::string line; std::getline(stream, line);) {
        if (std::regex_match(line, match, row)) {
            keys[match[1]] = match[2];
        }
    }
    return keys;
}

json sceneWith(const std::string& key, const json& value)
{
    json scene = json::object();
    scene[json::json_pointer("/" + std::regex_replace(key, std::regex("\\."), "/"))] = value;
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

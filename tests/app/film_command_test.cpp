// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/film_command.h"
#include "tests/app/clips.h"
#include "tests/app/outcome.h"
#include "tests/support/file_content.h"
#include "tests/support/temporary_folder.h"

#include <algorithm>
#include <fstream>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <sstream>

namespace twinlamp::commands {

namespace {

using nlohmann::json;
using testing::HasSubstr;
using tests::contentOf;
using tests::Outcome;

class FilmCommand : public testing::Test
{
protected:
    static Outcome run(const FilmArguments& arguments, std::stop_token stop = {})
    {
        return tests::outcomeOf(runFilm, arguments, std::move(stop));
    }

    /// A scene of a few frames with `changes` on top, as JSON.
    [[nodiscard]] FilmArguments shortScene(const json& changes = json::object()) const
    {
        json scene = json::parse(R"({
            "seed": 5, "duration_ms": 60, "picture": {"width": 128, "height": 96},
            "lamps": {"programme": {"kind": "list", "edges_ms": [20]}},
            "reference_lamp": {"x": 24, "y": 48, "radius_px": 6},
            "panel": {"rect": [56, 16, 64, 64]}})");
        scene.merge_patch(changes);
        std::ofstream(in("scene.json")) << scene.dump();
        FilmArguments arguments;
        arguments.scene = in("scene.json");
        arguments.clip = in("clip.mp4");
        return arguments;
    }

    [[nodiscard]] std::filesystem::path in(const std::string& name) const
    {
        return m_folder.path() / name;
    }

    void expectNoClip() const
    {
        for (const auto& entry : std::filesystem::directory_iterator(m_folder.path())) {
            EXPECT_EQ(entry.path().filename(), "scene.json");
        }
    }

private:
    tests::TemporaryFolder m_folder;
};

TEST_F(FilmCommand, WritesTheClipAndItsTruth)
{
    const Outcome outcome = run(shortScene());
    EXPECT_EQ(outcome.status, ExitStatus::Done) << outcome.err;
    EXPECT_GT(std::filesystem::file_size(in("clip.mp4")), 0U);
    const json truth = json::parse(contentOf(in("clip.mp4.truth.json")));
    ASSERT_EQ(truth.at("presses").size(), 1U);
    EXPECT_EQ(truth.at("presses")[0].at("edge"), "on");
    EXPECT_EQ(truth.at("presses")[0].at("reference_ms"), 20.0);
    EXPECT_THAT(outcome.out, HasSubstr("clip.mp4.truth.json"));
}

TEST_F(FilmCommand, JsonIsTheTruth)
{
    FilmArguments arguments = shortScene();
    arguments.jsonFile = "-";
    const Outcome outcome = run(arguments);
    ASSERT_EQ(outcome.status, ExitStatus::Done) << outcome.err;
    EXPECT_EQ(json::parse(outcome.out), json::parse(contentOf(in("clip.mp4.truth.json"))));
}

TEST_F(FilmCommand, SameSeedGivesTheSameClip)
{
    FilmArguments arguments = shortScene();
    ASSERT_EQ(run(arguments).status, ExitStatus::Done);
    const std::string first = contentOf(arguments.clip);
    ASSERT_EQ(run(arguments).status, ExitStatus::Done);
    EXPECT_TRUE(contentOf(arguments.clip) == first);
    FilmArguments other = shortScene({{"seed", 6}});
    ASSERT_EQ(run(other).status, ExitStatus::Done);
    EXPECT_FALSE(contentOf(other.clip) == first);
}

TEST_F(FilmCommand, UnknownKeyIsNamed)
{
    const Outcome outcome = run(shortScene({{"camera", {{"shutter_speed", 3}}}}));
    EXPECT_EQ(outcome.status, ExitStatus::Unreadable);
    EXPECT_THAT(outcome.err, HasSubstr("camera.shutter_speed"));
    EXPECT_EQ(std::ranges::count(outcome.err, '\n'), 1) << outcome.err;
    expectNoClip();
}

TEST_F(FilmCommand, MissingSceneCannotBeRead)
{
    FilmArguments arguments;
    arguments.scene = in("gone.json");
    arguments.clip = in("clip.mp4");
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.status, ExitStatus::Unreadable);
    EXPECT_THAT(outcome.err, HasSubstr("gone.json"));
}

TEST_F(FilmCommand, EndingThatIsNoContainerIsAWrongWord)
{
    FilmArguments arguments = shortScene();
    arguments.clip = in("clip.txt");
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.status, ExitStatus::WrongWords);
    EXPECT_THAT(outcome.err, HasSubstr("clip.txt"));
    expectNoClip();
}

TEST_F(FilmCommand, MissingFolderIsStatusFive)
{
    FilmArguments arguments = shortScene();
    arguments.clip = in("missing") / "clip.mp4";
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.status, ExitStatus::NotWritten);
    EXPECT_THAT(outcome.err, HasSubstr("clip.mp4"));
    expectNoClip();
}

TEST_F(FilmCommand, StopLeavesNothing)
{
    std::stop_source stop;
    stop.request_stop();
    EXPECT_EQ(run(shortScene(), stop.get_token()).status, ExitStatus::Stopped);
    expectNoClip();
}

TEST_F(FilmCommand, SamplesThatAreThereAreNotFilmedAgain)
{
    ASSERT_FALSE(shortScene().scene.empty());
    std::ofstream(in("list.json")) << R"({"name": "two", "settings": [], "clips": [
        {"file": "a.mp4", "scene": "scene.json", "changes": {"seed": 1}},
        {"file": "b.mp4", "scene": "scene.json", "changes": {"seed": 2}}]})";
    FilmArguments arguments;
    arguments.samplesFolder = in("samples");
    arguments.samplesList = in("list.json");
    const Outcome first = run(arguments);
    ASSERT_EQ(first.status, ExitStatus::Done) << first.err;
    EXPECT_THAT(first.out, HasSubstr("2 sample clips"));
    const auto time = std::filesystem::last_write_time(in("samples") / "a.mp4");
    std::filesystem::remove(in("samples") / "b.mp4");
    const Outcome second = run(arguments);
    EXPECT_THAT(second.out, HasSubstr("1 sample clips"));
    EXPECT_EQ(std::filesystem::last_write_time(in("samples") / "a.mp4"), time);
    EXPECT_TRUE(std::filesystem::exists(in("samples") / "b.mp4"));
    EXPECT_THAT(run(arguments).out, HasSubstr("all 2 sample clips are there"));
}

TEST_F(FilmCommand, MissingListCannotBeRead)
{
    FilmArguments arguments;
    arguments.samplesFolder = in("samples");
    arguments.samplesList = in("gone.json");
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.status, ExitStatus::Unreadable);
    EXPECT_THAT(outcome.err, HasSubstr("gone.json"));
}

} // namespace

} // namespace twinlamp::commands

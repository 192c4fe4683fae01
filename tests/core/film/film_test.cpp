// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/film.h"
#include "tests/core/film/scenes.h"
#include "tests/support/temporary_folder.h"

#include <atomic>
#include <fstream>
#include <gtest/gtest.h>
#include <iterator>
#include <nlohmann/json.hpp>

namespace twinlamp::film {

using tests::sceneOf;
using twinlamp::tests::TemporaryFolder;

namespace {

std::string bytesOf(const std::filesystem::path& file)
{
    std::ifstream stream(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(stream), {}};
}

Scene shortScene(std::string_view codec = "h264")
{
    Scene scene = sceneOf(std::string(R"({"picture":{"width":160,"height":96},
        "panel":{"rect":[70,10,80,60],"lamp_image":{"radius_px":8}},
        "reference_lamp":{"x":30,"y":40,"radius_px":8},
        "duration_ms":200,"lamps":{"programme":{"kind":"list","edges_ms":[60.3]}},
        "file":{"codec":")")
        + std::string(codec) + R"("}})");
    return scene;
}

std::size_t filesIn(const std::filesystem::path& folder)
{
    const std::filesystem::directory_iterator all(folder);
    return static_cast<std::size_t>(std::distance(begin(all), end(all)));
}

class EachCodec : public testing::TestWithParam<const char*>
{
};

} // namespace

TEST_P(EachCodec, SameSceneGivesTheSameBytes)
{
    const TemporaryFolder folder;
    const Scene scene = shortScene(GetParam());
    const auto first = filmScene(scene, folder.path() / "a.mkv", {});
    const auto second = filmScene(scene, folder.path() / "b.mkv", {});
    ASSERT_TRUE(first.hasValue()) << first.error().detail;
    ASSERT_TRUE(second.hasValue());
    const std::string bytes = bytesOf(folder.path() / "a.mkv");
    EXPECT_GT(bytes.size(), 1000U);
    EXPECT_TRUE(bytes == bytesOf(folder.path() / "b.mkv"));
}

INSTANTIATE_TEST_SUITE_P(Codecs, EachCodec,
    testing::Values("h264", "hevc", "mjpeg", "vp9", "av1", "mpeg4", "ffv1"),
    [](const auto& row) { return std::string(row.param); });

TEST(FilmScene, AnotherSeedGivesOtherBytes)
{
    const TemporaryFolder folder;
    Scene scene = shortScene();
    ASSERT_TRUE(filmScene(scene, folder.path() / "a.mp4", {}).hasValue());
    scene.seed = 2;
    ASSERT_TRUE(filmScene(scene, folder.path() / "b.mp4", {}).hasValue());
    EXPECT_FALSE(bytesOf(folder.path() / "a.mp4") == bytesOf(folder.path() / "b.mp4"));
}

TEST(FilmScene, ClipAndTruthLieBesideEachOther)
{
    const TemporaryFolder folder;
    std::atomic<std::int64_t> ticks {0};
    JobControl control;
    control.report = [&](std::int64_t, std::int64_t total) {
        ++ticks;
        EXPECT_EQ(total, 96);
    };
    const auto report = filmScene(shortScene(), folder.path() / "a.mp4", control);
    ASSERT_TRUE(report.hasValue());
    EXPECT_EQ(report.value().framesWritten, 96); // 200 ms at 480 per second
    EXPECT_EQ(ticks.load(), 97);
    EXPECT_EQ(report.value().bytes,
        static_cast<std::int64_t>(std::filesystem::file_size(folder.path() / "a.mp4")));
    const auto truth = nlohmann::json::parse(bytesOf(folder.path() / "a.mp4.truth.json"));
    EXPECT_EQ(truth.at("clip").at("file"), "a.mp4");
    EXPECT_EQ(truth.at("clip").at("frames"), 96);
    EXPECT_EQ(filesIn(folder.path()), 2U);
}

TEST(FilmScene, StoppedFilmLeavesNothing)
{
    const TemporaryFolder folder;
    std::stop_source stop;
    JobControl control;
    control.stop = stop.get_token();
    control.report = [&](std::int64_t done, std::int64_t) {
        if (done == 10) {
            stop.request_stop();
        }
    };
    const auto report = filmScene(shortScene(), folder.path() / "a.mp4", control);
    EXPECT_TRUE(report.isCancelled());
    EXPECT_EQ(filesIn(folder.path()), 0U);
}

TEST(FilmScene, FolderThatIsNotThereIsSaid)
{
    const auto report = filmScene(shortScene(), "no-such-folder/a.mp4", {});
    ASSERT_TRUE(report.isError());
    EXPECT_EQ(report.error().why, Cause::WriteFailed);
    EXPECT_NE(report.error().detail.find("no-such-folder/a.mp4: "), std::string::npos)
        << report.error().detail;
}

TEST(FilmScene, EndingThatIsNoContainerIsSaid)
{
    const auto report = filmScene(shortScene(), "a.txt", {});
    ASSERT_TRUE(report.isError());
    EXPECT_EQ(report.error().why, Cause::InvalidValue);
    EXPECT_NE(report.error().detail.find(".mp4"), std::string::npos);
}

TEST(FilmScene, ContainerThatCannotHoldTheSceneIsSaid)
{
    Scene turned = shortScene();
    turned.file.rotationDeg = 90;
    EXPECT_TRUE(filmScene(turned, "a.mkv", {}).isError());
    EXPECT_TRUE(filmScene(shortScene("vp9"), "a.ts", {}).isError());
    EXPECT_TRUE(filmScene(shortScene("h264"), "a.webm", {}).isError());
}

} // namespace twinlamp::film

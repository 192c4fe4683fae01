// SPDX-License-Identifier: GPL-3.0-or-later
// The files that come out, read by FFmpeg's own tools and by core/footage.
#include "core/film/clip_writer.h"
#include "core/film/container.h"
#include "core/film/film.h"
#include "core/footage/frame_index.h"
#include "core/footage/frame_source.h"
#include "tests/core/film/scenes.h"
#include "tests/support/program.h"
#include "tests/support/temporary_folder.h"

#include <algorithm>
#include <fstream>
#include <gtest/gtest.h>
#include <iterator>
#include <nlohmann/json.hpp>

namespace twinlamp::film {

using nlohmann::json;
using tests::sceneOf;
using twinlamp::tests::runProgram;
using twinlamp::tests::TemporaryFolder;

namespace {

const std::filesystem::path ffprobe = "/usr/bin/ffprobe";

Scene smallScene(std::string_view changes)
{
    auto all = json::parse(R"({"picture":{"width":160,"height":96},
        "panel":{"rect":[70,20,80,60],"lamp_image":{"radius_px":8}},
        "reference_lamp":{"x":30,"y":50,"radius_px":8},
        "duration_ms":200,"lamps":{"programme":{"kind":"list","edges_ms":[60.3]}},
        "file":{"frame_marks":true,"gop":24}})");
    all.merge_patch(json::parse(changes));
    return sceneOf(all.dump());
}

/// The video stream and the container as ffprobe sees them.
json probe(const std::filesystem::path& clip)
{
    const auto run = runProgram(ffprobe,
        {"-v", "error", "-count_frames", "-show_streams", "-show_format", "-of", "json",
            clip.string()});
    EXPECT_EQ(run.status, 0) << run.err;
    return json::parse(run.out);
}

struct Filmed
{
    const char* name;
    const char* ending;
    const char* changes;
    const char* codec;
    const char* pixels;
};

class Container : public testing::TestWithParam<Filmed>
{
protected:
    void SetUp() override
    {
        if (!std::filesystem::exists(ffprobe)) {
            GTEST_SKIP() << "ffprobe is not installed";
        }
    }
};

std::filesystem::path film(const TemporaryFolder& folder, const Scene& scene, const char* ending)
{
    auto clip = folder.path() / (std::string("clip.") + ending);
    const auto report = filmScene(scene, clip, {});
    EXPECT_TRUE(report.hasValue()) << (report.isError() ? report.error().detail : "");
    return clip;
}

/// Frame marks of all shown frames, read through core/footage.
std::vector<std::int64_t> marksIn(const std::filesystem::path& clip)
{
    auto index = footage::indexClip(clip, {}, {});
    EXPECT_TRUE(index.hasValue());
    const auto shared = std::make_shared<const footage::ClipIndex>(std::move(index).value());
    auto source = footage::FrameSource::open(shared, {});
    EXPECT_TRUE(source.has_value());
    std::vector<std::int64_t> marks;
    for (std::int64_t k = 0; k < shared->frameCount(); ++k) {
        const auto frame = source->frame({k});
        marks.push_back(frame ? readFrameMark(frame->view()).value_or(-1000) : -2000);
    }
    return marks;
}

std::string bytesOf(const std::filesystem::path& file)
{
    std::ifstream stream(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(stream), {}};
}

std::vector<std::int64_t> range(std::int64_t first, std::int64_t last)
{
    std::vector<std::int64_t> all;
    for (std::int64_t i = first; i < last; ++i) {
        all.push_back(i);
    }
    return all;
}

} // namespace

TEST_P(Container, IsReadableWithEveryFrameAndTheStatedRate)
{
    const TemporaryFolder folder;
    const Scene scene = smallScene(GetParam().changes);
    const json all = probe(film(folder, scene, GetParam().ending));
    const json& stream = all.at("streams").at(0);
    EXPECT_EQ(stream.at("codec_name"), GetParam().codec);
    EXPECT_EQ(stream.at("nb_read_frames"), "96");
    EXPECT_EQ(stream.at("pix_fmt"), GetParam().pixels);
    EXPECT_EQ(stream.at("width"), 160);
    // AVI and the rest store it exactly; Matroska's ticks of 1 ms and TS's of 90 kHz leave a trace.
    const std::string rate = stream.at("avg_frame_rate");
    const auto slash = rate.find('/');
    const double hz = std::stod(rate.substr(0, slash)) / std::stod(rate.substr(slash + 1));
    EXPECT_NEAR(hz, 480.0, 5.0);
}

TEST_P(Container, HoldsTheFramesInTheirOrder)
{
    const TemporaryFolder folder;
    const auto clip = film(folder, smallScene(GetParam().changes), GetParam().ending);
    EXPECT_EQ(marksIn(clip), range(0, 96));
}

INSTANTIATE_TEST_SUITE_P(Each, Container,
    testing::Values(Filmed {"H264Mp4", "mp4", "{}", "h264", "yuv420p"},
        Filmed {"H264Mov", "mov", "{}", "h264", "yuv420p"},
        Filmed {"H264Mkv", "mkv", "{}", "h264", "yuv420p"},
        Filmed {"H264Avi", "avi", "{}", "h264", "yuv420p"},
        Filmed {"H264Ts", "ts", "{}", "h264", "yuv420p"},
        Filmed {
            "H264BFrames", "mp4", R"({"file":{"b_frames":2,"open_gop":true}})", "h264", "yuv420p"},
        Filmed {"H264TenBit", "mp4", R"({"camera":{"bit_depth":10}})", "h264", "yuv420p10le"},
        Filmed {"HevcMp4", "mp4", R"({"file":{"codec":"hevc"}})", "hevc", "yuv420p"},
        Filmed {"HevcTenBit", "mkv", R"({"file":{"codec":"hevc"},"camera":{"bit_depth":10}})",
            "hevc", "yuv420p10le"},
        Filmed {"HevcBFrames", "mp4", R"({"file":{"codec":"hevc","b_frames":3,"open_gop":true}})",
            "hevc", "yuv420p"},
        Filmed {"HevcMostBFrames", "mp4",
            R"({"file":{"codec":"hevc","b_frames":8,"open_gop":true}})", "hevc", "yuv420p"},
        Filmed {
            "MjpegAvi", "avi", R"({"file":{"codec":"mjpeg","quality":3}})", "mjpeg", "yuvj420p"},
        Filmed {
            "MjpegMov", "mov", R"({"file":{"codec":"mjpeg","quality":3}})", "mjpeg", "yuvj420p"},
        Filmed {"Vp9Webm", "webm", R"({"file":{"codec":"vp9"}})", "vp9", "yuv420p"},
        Filmed {"Av1Mkv", "mkv", R"({"file":{"codec":"av1"}})", "av1", "yuv420p"},
        Filmed {"Mpeg4Avi", "avi", R"({"file":{"codec":"mpeg4","quality":3}})", "mpeg4", "yuv420p"},
        Filmed {"Ffv1Mkv", "mkv", R"({"file":{"codec":"ffv1"}})", "ffv1", "yuv420p"}),
    [](const auto& row) { return std::string(row.param.name); });

namespace {

class ClipFacts : public testing::Test
{
protected:
    void SetUp() override
    {
        if (!std::filesystem::exists(ffprobe)) {
            GTEST_SKIP() << "ffprobe is not installed";
        }
    }

    TemporaryFolder m_folder;
};

} // namespace

TEST(ContainerComplaint, RefusesWhatOnlyTheHeaderWriterWouldRefuse)
{
    for (const char* codec : {"vp9", "av1"}) {
        const auto scene = smallScene(R"({"file":{"codec":")" + std::string(codec) + "\"}}");
        EXPECT_NE(containerComplaint("a.mov", scene).find("file.codec"), std::string::npos);
        EXPECT_EQ(containerComplaint("a.mp4", scene), "");
    }
}

TEST_F(ClipFacts, ColourIsTagged)
{
    const auto scene
        = smallScene(R"({"camera":{"transfer":"hlg","bit_depth":10},"file":{"codec":"hevc"}})");
    const json stream = probe(film(m_folder, scene, "mp4")).at("streams").at(0);
    EXPECT_EQ(stream.at("color_transfer"), "arib-std-b67");
    EXPECT_EQ(stream.at("color_primaries"), "bt2020");
    EXPECT_EQ(stream.at("color_space"), "bt2020nc");
    EXPECT_EQ(stream.at("color_range"), "tv");
}

TEST_F(ClipFacts, UntaggedColourStaysUntagged)
{
    const auto scene = smallScene(R"({"camera":{"tag_colour":false}})");
    const json stream = probe(film(m_folder, scene, "mp4")).at("streams").at(0);
    EXPECT_FALSE(stream.contains("color_transfer"));
}

TEST_F(ClipFacts, RotationTurnsThePictureUpright)
{
    for (const int rotation : {90, 180, 270}) {
        const auto scene
            = smallScene(R"({"file":{"rotation_deg":)" + std::to_string(rotation) + "}}");
        const auto clip = film(m_folder, scene, "mp4");
        // FFmpeg's players call a clockwise turn of 90 degrees -90.
        const json stream = probe(clip).at("streams").at(0);
        const int said = stream.at("side_data_list").at(0).at("rotation");
        EXPECT_EQ((360 - said) % 360, rotation);
        const auto index = footage::indexClip(clip, {}, {});
        ASSERT_TRUE(index.hasValue());
        EXPECT_EQ(index.value().info.orientation.rotationDeg, rotation);
        EXPECT_EQ(index.value().info.orientation.uprightWidthPx(), 160);
        // FFmpeg turns the picture by itself: the lamp (lit since 60 ms) is where the scene has it.
        const auto raw = m_folder.path() / "upright.gray";
        const auto turned = runProgram("/usr/bin/ffmpeg",
            {"-v", "error", "-y", "-i", clip.string(), "-pix_fmt", "gray", "-f", "rawvideo",
                raw.string()});
        ASSERT_EQ(turned.status, 0) << turned.err;
        const std::string samples = bytesOf(raw);
        constexpr std::size_t frameBytes = std::size_t {160} * 96;
        ASSERT_EQ(samples.size(), 96 * frameBytes);
        const auto* last = reinterpret_cast<const unsigned char*>(samples.data()) + 95 * frameBytes;
        EXPECT_GT(last[50 * 160 + 30], 180) << rotation;
        EXPECT_LT(last[50 * 160 + 10], 100) << rotation;
    }
}

TEST_F(ClipFacts, SlowMotionPlaysSlowlyAndNamesItsCaptureRate)
{
    const auto scene = smallScene(R"({"camera":{"capture_rate":240},
        "file":{"play_rate":"30000/1001","capture_rate_tag":true}})");
    const json all = probe(film(m_folder, scene, "mp4"));
    EXPECT_EQ(all.at("streams").at(0).at("avg_frame_rate"), "30000/1001");
    EXPECT_EQ(all.at("format").at("tags").at("com.android.capture.fps"), "240.000000");
}

TEST_F(ClipFacts, FractionalRatesAreExact)
{
    const auto scene = smallScene(R"({"camera":{"capture_rate":"240000/1001"}})");
    const json stream = probe(film(m_folder, scene, "mp4")).at("streams").at(0);
    EXPECT_EQ(stream.at("avg_frame_rate"), "240000/1001");
}

TEST_F(ClipFacts, LostFramesLeaveAGapInTheStamps)
{
    const auto scene = smallScene(R"({"camera":{"lost":{"frames":[40,41,42]}}})");
    const auto clip = film(m_folder, scene, "mp4");
    auto expected = range(0, 40);
    const auto rest = range(43, 96);
    expected.insert(expected.end(), rest.begin(), rest.end());
    EXPECT_EQ(marksIn(clip), expected);
    const auto index = footage::indexClip(clip, {}, {});
    const auto& entries = index.value().entries;
    const auto step = entries[1].ptsTicks - entries[0].ptsTicks;
    EXPECT_EQ(entries[40].ptsTicks - entries[39].ptsTicks, 4 * step);
}

TEST_F(ClipFacts, HiddenFramesAreNotShown)
{
    const auto scene = smallScene(R"({"file":{"hidden_frames":10}})");
    EXPECT_EQ(marksIn(film(m_folder, scene, "mp4")), range(0, 96));
}

TEST_F(ClipFacts, StartOffsetAndWobbleShiftTheStampsOnly)
{
    const auto scene = smallScene(R"({"file":{"start_offset_ms":500,"stamp_wobble":0.3}})");
    const auto clip = film(m_folder, scene, "mp4");
    EXPECT_NEAR(
        std::stod(probe(clip).at("streams").at(0).at("start_time").get<std::string>()), 0.5, 0.001);
    EXPECT_EQ(marksIn(clip), range(0, 96));
    const auto index = footage::indexClip(clip, {}, {});
    const auto& entries = index.value().entries;
    std::int64_t shortest = entries[1].ptsTicks - entries[0].ptsTicks;
    std::int64_t longest = shortest;
    for (std::size_t i = 1; i < entries.size(); ++i) {
        const auto step = entries[i].ptsTicks - entries[i - 1].ptsTicks;
        shortest = std::min(shortest, step);
        longest = std::max(longest, step);
    }
    EXPECT_LT(static_cast<double>(shortest), 0.8 * static_cast<double>(longest));
}

} // namespace twinlamp::film

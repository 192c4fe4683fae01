// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/scene.h"
#include "tests/core/film/scenes.h"
#include "tests/support/temporary_folder.h"

#include <fstream>
#include <gmock/gmock.h>

namespace twinlamp::film {

using testing::AllOf;
using testing::HasSubstr;
using twinlamp::tests::TemporaryFolder;

namespace {

std::string complaintOf(std::string_view json)
{
    const auto scene = parseScene(json, "bench.json");
    EXPECT_FALSE(scene.has_value()) << json;
    return scene ? std::string() : scene.error().detail;
}

struct Wrong
{
    const char* name;
    const char* json;
    const char* key;
    const char* found;
};

class WrongScene : public testing::TestWithParam<Wrong>
{
};

void write(const std::filesystem::path& file, std::string_view text)
{
    std::ofstream(file) << text;
}

} // namespace

TEST_P(WrongScene, IsRefusedByTheNameOfTheKey)
{
    const auto scene = parseScene(GetParam().json, "bench.json");
    ASSERT_FALSE(scene.has_value());
    EXPECT_EQ(scene.error().where, Stage::Film);
    EXPECT_EQ(scene.error().why, Cause::InvalidValue);
    EXPECT_THAT(scene.error().detail,
        AllOf(HasSubstr("bench.json: "), HasSubstr(GetParam().key), HasSubstr(GetParam().found)));
}

INSTANTIATE_TEST_SUITE_P(Each, WrongScene,
    testing::Values(
        Wrong {"ExposureTooLong", R"({"camera":{"capture_rate":240,"exposure_ms":5.0}})",
            "camera.exposure_ms is 5", "4.167 ms"},
        Wrong {"LinkExposureTooLong", R"({"link_camera":{"frame_rate":100,"exposure_ms":12}})",
            "link_camera.exposure_ms is 12", "10.000 ms"},
        Wrong {"CornersOfNoPanel", R"({"panel":{"corners":[330,60,548,300,560,90,310,262]}})",
            "panel.corners is 330,60", "cross"},
        Wrong {"CornersThatAreFew", R"({"panel":{"corners":[330,60,548,300]}})", "panel.corners",
            "whole pixels"},
        Wrong {"CornersOutOfThePicture", R"({"panel":{"corners":[330,60,660,90,548,300,310,262]}})",
            "panel.corners", "out of the picture"},
        Wrong {"UnknownKey", R"({"camera":{"exposure":1}})", "camera.exposure is not a known key",
            "exposure_ms"},
        Wrong {"UnknownKeyAtTheTop", R"({"cameras":{}})", "cameras is not a known key", "camera"},
        Wrong {
            "TextForANumber", R"({"panel":{"scan_ms":"8"}})", "panel.scan_ms", "must be a number"},
        Wrong {"OutOfBounds", R"({"panel":{"spill":-1}})", "panel.spill is -1", "between 0 and"},
        Wrong {"FractionForAWholeNumber", R"({"file":{"gop":1.5}})", "file.gop is 1.5", "whole"},
        Wrong {"UnknownWord", R"({"panel":{"direction":"sideways"}})",
            "panel.direction is \"sideways\"", "left-to-right"},
        Wrong {"NoRate", R"({"camera":{"capture_rate":"fast"}})", "camera.capture_rate",
            "240000/1001"},
        Wrong {"ShortRectangle", R"({"panel":{"rect":[1,2,3]}})", "panel.rect",
            "[x, y, width, height]"},
        Wrong {"EmptyRectangle", R"({"panel":{"rect":[1,2,0,5]}})", "panel.rect", "above 0"},
        Wrong {"RangeTheWrongWayRound", R"({"lamps":{"programme":{"hold_ms":[50,20]}}})",
            "lamps.programme.hold_ms", "shortest first"},
        Wrong {"EdgesThatGoBack", R"({"lamps":{"programme":{"kind":"list","edges_ms":[20,10]}}})",
            "lamps.programme.edges_ms", "rise"},
        Wrong {"NoEdges", R"({"lamps":{"programme":{"kind":"list"}}})", "lamps.programme.edges_ms",
            "empty"},
        Wrong {"ScanLongerThanTheRedraws",
            R"({"panel":{"refresh":"free","refresh_rate":120,"scan_ms":9}})", "panel.scan_ms is 9",
            "8.333 ms"},
        Wrong {"ShownBeforeItIsRead",
            R"({"link":{"delay_ms":1},"panel":{"scan_ms":2},"link_camera":{"readout_ms":8}})",
            "link.delay_ms is 1", "5.000 ms before"},
        Wrong {"PanelOutOfThePicture", R"({"panel":{"rect":[900,0,10,10]}})", "panel.rect",
            "outside the picture"},
        Wrong {"LampOutOfThePicture", R"({"reference_lamp":{"x":900}})", "reference_lamp",
            "outside the picture"},
        Wrong {"OddPicture", R"({"picture":{"width":321}})", "picture", "even"},
        Wrong {"SlantedRotation", R"({"file":{"rotation_deg":45}})", "file.rotation_deg is 45",
            "0, 90, 180 or 270"},
        Wrong {"NineBits", R"({"camera":{"bit_depth":9}})", "camera.bit_depth is 9", "8 or 10"},
        Wrong {"TenBitsInMjpeg", R"({"camera":{"bit_depth":10},"file":{"codec":"mjpeg"}})",
            "camera.bit_depth", "hevc"},
        Wrong {"SlowReadout", R"({"camera":{"line_time_us":100}})", "camera.line_time_us",
            "frame interval of 2.083"},
        Wrong {"StrobeWiderThanItsPeriod", R"({"panel":{"strobe":{"period_ms":2,"width_ms":2}}})",
            "panel.strobe.width_ms", "2.000 ms"},
        Wrong {"PulsedAfterglow", R"({"lamps":{"pwm":{},"fall_ms":1}})", "lamps.pwm", "together"},
        Wrong {"DecoysThatAreNoList", R"({"decoys":{}})", "decoys", "list"},
        Wrong {"PresetThatNoEncoderHas", R"({"file":{"preset":"swift"}})",
            "file.preset is \"swift\"", "veryslow"},
        Wrong {"QualityOfAnotherCodec", R"({"file":{"codec":"hevc","quality":60}})",
            "file.quality is 60", "between 0 and 51"},
        Wrong {"QualityOfJpeg", R"({"file":{"codec":"mjpeg","quality":1}})", "file.quality is 1",
            "between 2 and 31"},
        Wrong {"HoursOfPresses", R"({"lamps":{"programme":{"presses":100000}}})",
            "lamps.programme lasts", "600 s"},
        Wrong {"RegionOutOfThePicture", R"({"regions":{"reference":[900,0,10,10]}})",
            "regions.reference", "640 x 360 pixels"},
        Wrong {"RegionPartlyOut", R"({"regions":{"goggle":[635,0,10,10]}})", "regions.goggle",
            "640 x 360 pixels"},
        Wrong {"NegativeSeed", R"({"seed":-1})", "seed is -1", "whole number"}),
    [](const auto& row) { return std::string(row.param.name); });

TEST(ParseScene, NoJsonIsSaidInOneSentence)
{
    EXPECT_THAT(complaintOf("{ \"seed\": 1"), HasSubstr("no JSON object"));
    EXPECT_THAT(complaintOf("[]"), HasSubstr("no JSON object"));
}

TEST(ParseScene, EmptySceneIsAllDefaults)
{
    const Scene scene = tests::sceneOf("{}");
    const Scene defaults;
    EXPECT_EQ(scene.widthPx, defaults.widthPx);
    EXPECT_EQ(scene.camera.captureRate, defaults.camera.captureRate);
    EXPECT_EQ(scene.panel.rect, defaults.panel.rect);
}

TEST(ParseScene, KeysReachTheirMembers)
{
    const Scene scene = tests::sceneOf(R"({
        "name": "a", "seed": 9, "view": "direct", "duration_ms": 1234,
        "picture": { "width": 320, "height": 180 },
        "lamps": { "skew_ms": 0.5, "rise_ms": 0.1,
            "programme": { "kind": "periodic", "period_ms": 500, "presses": 3, "start_lit": true } },
        "reference_lamp": { "x": 10, "y": 20, "colour": [1, 0.5, 0] },
        "decoys": [ { "x": 1, "y": 2, "follows": "panel" } ],
        "room": { "mains_hz": 60 },
        "link_camera": { "frame_rate": "60000/1001", "phase_ms": 3 },
        "link": { "jitter": "normal", "jitter_ms": 2, "lost_frames": [4, 5] },
        "panel": { "rect": [100, 20, 200, 100], "direction": "up", "refresh": "free",
            "refresh_rate": 100, "strobe": { "clock": "refresh", "width_ms": 1 },
            "lamp_image": { "x": 0.25 } },
        "camera": { "capture_rate": "240000/1001", "exposure_ms": 2, "transfer": "hlg",
            "bit_depth": 10, "shake": { "amplitude_px": 2 }, "lost": { "frames": [7] } },
        "file": { "codec": "hevc", "play_rate": "30000/1001", "rotation_deg": 90,
            "capture_rate_tag": true, "frame_marks": true },
        "regions": { "goggle": [1, 2, 3, 4] } })");
    EXPECT_EQ(scene.seed, 9U);
    EXPECT_EQ(scene.view, GoggleView::Direct);
    EXPECT_EQ(scene.durationMs, 1234.0);
    EXPECT_EQ(scene.lamps.programme.kind, ProgrammeKind::Periodic);
    EXPECT_TRUE(scene.lamps.programme.startLit);
    EXPECT_EQ(scene.referenceLamp.colour, (Colour {1.0, 0.5, 0.0}));
    EXPECT_EQ(scene.decoys.at(0).follows, Follows::Panel);
    EXPECT_EQ(scene.linkCamera.frameRate, (FrameRate {60000, 1001}));
    EXPECT_EQ(scene.linkCamera.phase.ms, 3.0);
    EXPECT_EQ(scene.link.lostFrames, (std::vector<std::int64_t> {4, 5}));
    EXPECT_EQ(scene.panel.strobe->clock, StrobeClock::Refresh);
    EXPECT_EQ(scene.panel.lampImage.x, 0.25);
    EXPECT_EQ(scene.camera.captureRate, (FrameRate {240000, 1001}));
    EXPECT_EQ(scene.camera.matrix, Matrix::Bt2020) << "HLG comes with the matrix of BT.2020";
    EXPECT_EQ(scene.file.playRate, (FrameRate {30000, 1001}));
    EXPECT_EQ(scene.goggleRegion, (RectPx {1, 2, 3, 4}));
}

TEST(LoadScene, OwnKeysWinOverTheBase)
{
    const TemporaryFolder folder;
    write(
        folder.path() / "base.json", R"({"seed":3,"camera":{"capture_rate":240,"exposure_ms":2}})");
    write(folder.path() / "own.json", R"({"base":"base.json","camera":{"exposure_ms":3}})");
    const auto scene = loadScene(folder.path() / "own.json", R"({"seed":4})");
    ASSERT_TRUE(scene.has_value()) << scene.error().detail;
    EXPECT_EQ(scene->camera.captureRate, (FrameRate {240, 1}));
    EXPECT_EQ(scene->camera.exposureMs, 3.0);
    EXPECT_EQ(scene->seed, 4U);
}

TEST(LoadScene, BaseThatNamesItselfIsRefused)
{
    const TemporaryFolder folder;
    write(folder.path() / "loop.json", R"({"base":"loop.json"})");
    const auto scene = loadScene(folder.path() / "loop.json");
    ASSERT_FALSE(scene.has_value());
    EXPECT_THAT(scene.error().detail, HasSubstr("base"));
}

TEST(LoadScene, MissingFileIsNotFound)
{
    const auto scene = loadScene("no-such-scene.json");
    ASSERT_FALSE(scene.has_value());
    EXPECT_EQ(scene.error().why, Cause::NotFound);
    EXPECT_THAT(scene.error().detail, HasSubstr("no-such-scene.json"));
}

} // namespace twinlamp::film

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/film.h"
#include "core/film/shake.h"
#include "core/film/studio.h"
#include "core/measure/clip_measurement.h"
#include "core/measure/hand_shake.h"
#include "tests/support/temporary_folder.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <spdlog/fmt/fmt.h>

namespace twinlamp::measure {

namespace {

film::Scene scene(double shakePx, int seed)
{
    const auto parsed
        = film::parseScene(fmt::format(R"({{"seed": {}, "picture": {{"width": 320, "height": 192}},
            "duration_ms": 700, "lamps": {{"programme": {{"kind": "random", "presses": 2,
              "hold_ms": [100, 140], "gap_ms": [100, 140]}}}},
            "room": {{"brightness": 0.08, "texture_contrast": 0.8, "texture_px": 6}},
            "reference_lamp": {{"x": 62, "y": 98, "radius_px": 11}},
            "panel": {{"rect": [128, 32, 160, 120], "lamp_image": {{"radius_px": 14}}}},
            "camera": {{"capture_rate": 480, "exposure_ms": 1.6,
              "shake": {{"amplitude_px": {}}}}},
            "file": {{"gop": 30, "quality": 8}}}})",
                               seed, shakePx),
            "test.json");
    EXPECT_TRUE(parsed.has_value()) << (parsed ? "" : parsed.error().detail);
    return parsed.value_or(film::Scene {});
}

/// A clip of a scene, its index and the regions of its first picture.
struct Filmed
{
    explicit Filmed(const film::Scene& scene)
        : studio(scene)
    {
        EXPECT_TRUE(film::filmScene(scene, clip(), {}).hasValue());
        index = footage::indexClip(clip(), {}, {}).value();
        request.reference = studio.regions().reference;
        request.goggle = studio.regions().goggle;
        request.panel = studio.regions().panel;
        request.threads = 1;
    }

    [[nodiscard]] std::filesystem::path clip() const { return folder / "clip.mp4"; }

    tests::TemporaryFolder folder;
    film::Studio studio;
    footage::ClipIndex index;
    RegionRequest request;
};

HandShake shakeOf(const Filmed& filmed)
{
    auto found = findHandShake(filmed.index, filmed.request, {}, {});
    EXPECT_TRUE(found.hasValue());
    return found.hasValue() ? std::move(found).value() : HandShake {};
}

// Coded finely: at a quality of 18 the codec alone moves such small things by a tenth of a pixel.
TEST(HandShake, PictureIsFollowedToATenthOfAPixel)
{
    for (const int seed : {1, 2, 3}) {
        Filmed filmed(scene(3.0, seed));
        filmed.request.follow = shakeOf(filmed).follow;
        ASSERT_NE(filmed.request.follow, nullptr) << seed;
        const auto scan = scanRegions(filmed.index, filmed.request, {}, {});
        ASSERT_TRUE(scan.hasValue());
        const film::ShakeMotion motion(filmed.studio.scene());
        double sumX = 0.0;
        double sumY = 0.0;
        const auto& shifts = scan.value().light.shift;
        for (std::size_t k = 0; k < shifts.size(); ++k) {
            const film::Span exposure
                = filmed.studio.exposure(static_cast<std::int64_t>(k), 192 / 2);
            const auto truth = motion.at(0.5 * (exposure.startMs + exposure.endMs));
            const auto start = motion.at(0.5 * filmed.studio.scene().camera.exposureMs);
            sumX += std::pow(shifts[k].x - (truth.x - start.x), 2);
            sumY += std::pow(shifts[k].y - (truth.y - start.y), 2);
        }
        const auto frames = static_cast<double>(shifts.size());
        EXPECT_LT(std::sqrt(sumX / frames), 0.1) << seed;
        EXPECT_LT(std::sqrt(sumY / frames), 0.1) << seed;
    }
}

TEST(HandShake, LampKeepsItsLightWhereThePictureShakes)
{
    Filmed filmed(scene(3.0, 2));
    const auto still = scanRegions(filmed.index, filmed.request, {}, {});
    filmed.request.follow = shakeOf(filmed).follow;
    const auto followed = scanRegions(filmed.index, filmed.request, {}, {});
    ASSERT_TRUE(still.hasValue() && followed.hasValue());
    // The lit lamp's light, whose brightest frame is the one in which all of it is in the region.
    const auto scatter = [](const std::vector<float>& light) {
        const float top = std::ranges::max(light);
        double sum = 0.0;
        int count = 0;
        for (const float value : light) {
            if (value > 0.7F * top) {
                sum += std::pow(value / top - 1.0F, 2);
                ++count;
            }
        }
        return std::sqrt(sum / count);
    };
    EXPECT_GT(scatter(still.value().light.reference), 0.05);
    EXPECT_LT(scatter(followed.value().light.reference), 0.02);
}

TEST(HandShake, CameraOnATripodIsNotFollowed)
{
    for (const int seed : {4, 5, 6}) {
        const Filmed filmed(scene(0.0, seed));
        EXPECT_EQ(shakeOf(filmed).follow, nullptr) << seed;
    }
}

TEST(HandShake, FiguresDoNotDependOnTheNumberOfThreads)
{
    Filmed filmed(scene(3.0, 2));
    filmed.request.follow = shakeOf(filmed).follow;
    const auto one = scanRegions(filmed.index, filmed.request, {}, {});
    filmed.request.threads = 3;
    const auto three = scanRegions(filmed.index, filmed.request, {}, {});
    ASSERT_TRUE(one.hasValue() && three.hasValue());
    EXPECT_EQ(one.value().light.shift, three.value().light.shift);
    EXPECT_EQ(one.value().light.reference, three.value().light.reference);
    EXPECT_EQ(one.value().light.panelCells, three.value().light.panelCells);
}

TEST(HandShake, ResultSaysHowFarThePictureMoved)
{
    const Filmed filmed(scene(3.0, 2));
    MeasureOptions options;
    options.captureRate = FrameRate {480, 1};
    options.reference = filmed.request.reference;
    options.goggle = filmed.request.goggle;
    options.panel = filmed.request.panel;
    const auto measured = measureClip(filmed.clip(), options, {});
    ASSERT_TRUE(measured.hasValue());
    const auto& notes = measured.value().result.notes;
    const auto note = std::ranges::find(notes, "hand-held", &Sentence::id);
    ASSERT_NE(note, notes.end());
    EXPECT_GT(std::stod(note->values.at(0)), 2.0);
    // A region that moves: all regions are read anew, with the same figures as without memory.
    options.panel->width -= 4;
    const auto again = measureClip(filmed.clip(), options, {}, {}, measured.value().memory);
    const auto anew = measureClip(filmed.clip(), options, {});
    ASSERT_TRUE(again.hasValue() && anew.hasValue());
    EXPECT_EQ(again.value().result.traces, anew.value().result.traces);
}

} // namespace

} // namespace twinlamp::measure

// SPDX-License-Identifier: GPL-3.0-or-later
// A file that says nothing about its camera's curve is read as BT.709; the tester may know better.
#include "core/film/film.h"
#include "core/film/studio.h"
#include "core/measure/clip_measurement.h"
#include "tests/support/temporary_folder.h"

#include <algorithm>
#include <gtest/gtest.h>

namespace twinlamp::measure {
namespace {

class TransferOption : public ::testing::Test
{
protected:
    TransferOption()
        : m_studio(scene())
    {
        EXPECT_TRUE(film::filmScene(scene(), clip(), {}).hasValue());
    }

    static film::Scene scene()
    {
        const auto parsed
            = film::parseScene(R"({"seed": 71, "picture": {"width": 256, "height": 160},
            "duration_ms": 700, "lamps": {"programme": {"kind": "random", "presses": 2,
              "hold_ms": [100, 140], "gap_ms": [100, 140]}},
            "room": {"brightness": 0.05},
            "reference_lamp": {"x": 52, "y": 70, "radius_px": 14, "soft_edge_px": 1,
              "brightness": 0.4},
            "panel": {"rect": [110, 20, 130, 110], "lamp_image": {"radius_px": 12}},
            "camera": {"capture_rate": 480, "exposure_ms": 1.8, "transfer": "gamma28",
              "tag_colour": false},
            "file": {"gop": 30, "quality": 4}})",
                "test.json");
        EXPECT_TRUE(parsed.has_value()) << (parsed ? "" : parsed.error().detail);
        return parsed.value_or(film::Scene {});
    }

    [[nodiscard]] std::filesystem::path clip() const { return m_folder / "clip.mp4"; }

    [[nodiscard]] Measurement measured(std::optional<TransferCurve> transfer) const
    {
        MeasureOptions options;
        options.captureRate = FrameRate {480, 1};
        options.exposureMs = 1.8;
        options.reference = RectPx {48, 66, 8, 8}; // the lamp's middle, evenly lit
        options.goggle = m_studio.regions().goggle;
        options.withoutPanel = true;
        options.transfer = transfer;
        options.threads = 1;
        auto measurement = measureClip(clip(), options, {});
        EXPECT_TRUE(measurement.hasValue())
            << (measurement.isError() ? measurement.error().detail : "");
        return measurement.hasValue() ? std::move(measurement).value() : Measurement {};
    }

    static double litLight(const Measurement& measurement)
    {
        const auto& light = measurement.result.traces.reference;
        return light.empty() ? 0.0 : static_cast<double>(*std::ranges::max_element(light));
    }

    static bool saysSo(const Measurement& measurement)
    {
        return std::ranges::any_of(measurement.result.notes,
            [](const Sentence& note) { return note.id == "transfer-told"; });
    }

    tests::TemporaryFolder m_folder;
    film::Studio m_studio;
};

TEST_F(TransferOption, ToldReadsTheLightThatWasFilmed)
{
    const Measurement told = measured(TransferCurve::Gamma28);
    // 0.4 of the lamp on the room's 0.05; codec and noise take a few parts in a hundred.
    EXPECT_NEAR(litLight(told), 0.45, 0.03);
    EXPECT_TRUE(saysSo(told));
}

TEST_F(TransferOption, UntoldReadsAnUntaggedFileAsBt709)
{
    const Measurement untold = measured(std::nullopt);
    // Closed form: 0.45^(1 / 2.8) = 0.752 as a code value, which BT.709 takes for
    // ((0.752 + 0.0993) / 1.0993)^(1 / 0.45) = 0.567.
    EXPECT_NEAR(litLight(untold), 0.567, 0.03);
    EXPECT_FALSE(saysSo(untold));
}

} // namespace
} // namespace twinlamp::measure

// SPDX-License-Identifier: GPL-3.0-or-later
// The light of a clip's regions by one thread and by several: the same to the last bit.
#include "core/film/film.h"
#include "core/film/studio.h"
#include "core/measure/clip_setting.h"
#include "core/measure/region_reader.h"
#include "core/measure/region_scan.h"
#include "tests/support/temporary_folder.h"

#include <bit>
#include <cstdint>
#include <gtest/gtest.h>
#include <spdlog/fmt/fmt.h>

namespace twinlamp::measure {
namespace {

/// Bits, so that frames that are not there are the same as one another.
std::vector<std::uint32_t> bitsOf(const std::vector<float>& values)
{
    std::vector<std::uint32_t> bits;
    for (const float value : values) {
        bits.push_back(std::bit_cast<std::uint32_t>(value));
    }
    return bits;
}

class RegionScans : public testing::TestWithParam<int>
{
};

TEST_P(RegionScans, DoNotDependOnTheThreads)
{
    const auto scene = film::parseScene(fmt::format(R"({{"seed": {}, "duration_ms": 900,
        "picture": {{"width": 256, "height": 144}},
        "lamps": {{"programme": {{"kind": "random", "presses": 2, "start_ms": 130,
          "hold_ms": [120, 160], "gap_ms": [120, 160]}}}},
        "reference_lamp": {{"x": 52, "y": 70, "radius_px": 10, "soft_edge_px": 3}},
        "panel": {{"rect": [110, 20, 130, 100], "lamp_image": {{"radius_px": 11}}}},
        "camera": {{"capture_rate": 300, "exposure_ms": 2.0}},
        "file": {{"gop": {}, "quality": 20}}}})",
                                            GetParam(), GetParam()),
        "test.json");
    ASSERT_TRUE(scene.has_value()) << (scene ? "" : scene.error().detail);
    const tests::TemporaryFolder folder;
    const auto clip = folder / "clip.mp4";
    ASSERT_TRUE(film::filmScene(*scene, clip, {}).hasValue());
    const auto index = footage::indexClip(clip, {}, {});
    ASSERT_TRUE(index.hasValue());
    RegionRequest request
        = storedRegions(film::Studio(*scene).regions(), index.value().info.orientation, {});
    request.threads = 1;
    const auto alone = scanRegions(index.value(), request, {}, {});
    ASSERT_TRUE(alone.hasValue());
    ASSERT_EQ(static_cast<std::int64_t>(alone.value().light.reference.size()),
        index.value().frameCount());
    for (const int threads : {2, 3, 5}) {
        request.threads = threads;
        const auto shared = scanRegions(index.value(), request, {}, {});
        ASSERT_TRUE(shared.hasValue());
        const RegionLight& a = alone.value().light;
        const RegionLight& b = shared.value().light;
        EXPECT_EQ(bitsOf(a.reference), bitsOf(b.reference)) << threads;
        EXPECT_EQ(bitsOf(a.referenceLines), bitsOf(b.referenceLines)) << threads;
        EXPECT_EQ(bitsOf(a.goggle), bitsOf(b.goggle)) << threads;
        EXPECT_EQ(bitsOf(a.goggleCells), bitsOf(b.goggleCells)) << threads;
        EXPECT_EQ(bitsOf(a.panelCells), bitsOf(b.panelCells)) << threads;
        EXPECT_EQ(bitsOf(a.roomCells), bitsOf(b.roomCells)) << threads;
    }
}

TEST(RegionLightMemory, IsAsStated)
{
    const RegionSet regions {{20, 20, 40, 40}, {100, 20, 40, 40}, RectPx {90, 10, 100, 90}};
    footage::Orientation orientation;
    orientation.storedWidthPx = 256;
    orientation.storedHeightPx = 144;
    const RegionRequest request = storedRegions(regions, orientation, {});
    EXPECT_EQ(lightBytesPerFrame(request), 1984);
    // As many as a reader of that request really keeps.
    constexpr std::int64_t frames = 10;
    const RegionReader reader(request, {0, 0, 256, 144}, frames, 1, {});
    const RegionLight& light = reader.light();
    const std::size_t values = light.reference.size() + light.referenceHigh.size()
        + light.referenceLines.size() + light.goggle.size() + light.goggleHigh.size()
        + light.goggleCells.size() + light.panelCells.size() + light.roomCells.size();
    EXPECT_EQ(static_cast<std::int64_t>(values * sizeof(float)), frames * 1984);
}

INSTANTIATE_TEST_SUITE_P(Gops, RegionScans, testing::Values(7, 30, 200));

} // namespace
} // namespace twinlamp::measure

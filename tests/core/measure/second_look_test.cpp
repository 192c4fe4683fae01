// SPDX-License-Identifier: GPL-3.0-or-later
// Regions that were moved, looked at again without decoding, against measuring the clip anew.
#include "core/film/film.h"
#include "core/film/studio.h"
#include "core/measure/clip_measurement.h"
#include "core/measure/scan_memory.h"
#include "core/measure/second_look.h"
#include "tests/support/temporary_folder.h"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <gtest/gtest.h>
#include <spdlog/fmt/fmt.h>

namespace twinlamp::measure {
namespace {

struct Filming
{
    std::string name;
    std::string changes; ///< of the scene, a JSON merge patch
};

void PrintTo(const Filming& filming, std::ostream* out) { *out << filming.name; }

film::Scene sceneOf(const std::string& changes)
{
    const tests::TemporaryFolder folder;
    const auto file = folder / "base.json";
    std::ofstream(file) << R"({"seed": 21, "picture": {"width": 320, "height": 240},
        "lamps": {"programme": {"kind": "random", "presses": 3, "start_ms": 250,
          "hold_ms": [180, 260], "gap_ms": [180, 260]}},
        "reference_lamp": {"x": 60, "y": 120, "radius_px": 14, "soft_edge_px": 3,
          "brightness": 0.6},
        "panel": {"rect": [130, 50, 170, 140], "lamp_image": {"radius_px": 16}},
        "camera": {"capture_rate": 240, "exposure_ms": 2.8},
        "file": {"gop": 30, "quality": 18}})";
    const auto scene = film::loadScene(file, changes);
    EXPECT_TRUE(scene.has_value()) << (scene ? "" : scene.error().detail);
    return scene.value_or(film::Scene {});
}

RectPx grown(RectPx rect, int by)
{
    return {rect.x - by, rect.y - by, rect.width + 2 * by, rect.height + 2 * by};
}

RectPx shifted(RectPx rect, int x, int y)
{
    return {rect.x + x, rect.y + y, rect.width, rect.height};
}

bool notes(const ClipResult& result, std::string_view id)
{
    return std::ranges::any_of(result.notes, [id](const Sentence& note) { return note.id == id; });
}

class FilmedClip
{
public:
    explicit FilmedClip(const std::string& changes)
        : m_scene(sceneOf(changes))
    {
        EXPECT_TRUE(film::filmScene(m_scene, path(), {}).hasValue());
        // With the margin that a hand leaves around a lamp.
        const RegionSet filmed = film::Studio(m_scene).regions();
        m_regions = filmed;
        m_regions.reference = grown(filmed.reference, 8);
        m_regions.goggle = grown(filmed.goggle, 3);
    }

    [[nodiscard]] std::filesystem::path path() const { return m_folder / "clip.mp4"; }

    [[nodiscard]] const RegionSet& regions() const { return m_regions; }

    [[nodiscard]] Measurement measured(const RegionSet& regions,
        const std::shared_ptr<const ScanMemory>& previous = nullptr, bool lookAgain = false) const
    {
        MeasureOptions options;
        options.captureRate = m_scene.camera.captureRate;
        options.exposureMs = m_scene.camera.exposureMs;
        options.lineTimeUs = m_scene.camera.lineTimeUs;
        options.reference = regions.reference;
        options.goggle = regions.goggle;
        options.panel = regions.panel;
        options.panelCorners = regions.panelCorners;
        options.withoutPanel = !regions.panel;
        options.threads = 1;
        auto measurement = measureClip(path(), options, {}, {}, previous, {true, {}, lookAgain});
        EXPECT_TRUE(measurement.hasValue())
            << (measurement.isError() ? measurement.error().detail : "");
        return measurement.hasValue() ? std::move(measurement).value() : Measurement {};
    }

private:
    tests::TemporaryFolder m_folder;
    film::Scene m_scene;
    RegionSet m_regions;
};

/// What a hand does to the regions: each from where they were first.
std::vector<std::pair<std::string, RegionSet>> moves(const RegionSet& from)
{
    std::vector<std::pair<std::string, RegionSet>> all;
    const auto add = [&](const std::string& name, auto change) {
        RegionSet moved = from;
        change(moved);
        all.emplace_back(name, moved);
    };
    add("reference nudged", [](RegionSet& set) { set.reference = shifted(set.reference, 3, -4); });
    add("goggle nudged", [](RegionSet& set) { set.goggle = shifted(set.goggle, -2, 2); });
    add("goggle larger", [](RegionSet& set) { set.goggle = grown(set.goggle, 6); });
    add("panel nudged", [](RegionSet& set) { set.panel = shifted(*set.panel, 3, -2); });
    add("panel smaller", [](RegionSet& set) { set.panel = grown(*set.panel, -9); });
    add("all three", [](RegionSet& set) {
        set.reference = grown(set.reference, 3);
        set.goggle = shifted(set.goggle, 2, 1);
        set.panel = grown(*set.panel, -4);
    });
    return all;
}

double medianFullFrameMs(const ClipResult& result)
{
    std::vector<double> all;
    for (const Press& press : result.presses) {
        if (press.fullFrameLatency) {
            all.push_back(toMs(*press.fullFrameLatency));
        }
    }
    std::ranges::sort(all);
    return all.empty() ? 0.0 : all[all.size() / 2];
}

/// @return the largest difference of a latency, in its half width
double expectAsExact(const ClipResult& looked, const ClipResult& exact)
{
    double largest = 0.0;
    EXPECT_EQ(looked.presses.size(), exact.presses.size());
    for (std::size_t i = 0; i < std::min(looked.presses.size(), exact.presses.size()); ++i) {
        const Press& a = looked.presses[i];
        const Press& b = exact.presses[i];
        EXPECT_EQ(a.edge, b.edge) << i;
        EXPECT_EQ(a.accepted, b.accepted) << i;
        EXPECT_EQ(a.latency.has_value(), b.latency.has_value()) << i;
        if (a.latency && b.latency) {
            const double apart = std::abs(toMs(*a.latency) - toMs(*b.latency));
            largest = std::max(largest, apart / toMs(*b.uncertainty));
            EXPECT_GE(toMs(*a.uncertainty), 0.8 * toMs(*b.uncertainty)) << i;
        }
    }
    const double frameMs = exact.clip.captureRate.intervalMs();
    EXPECT_NEAR(medianFullFrameMs(looked), medianFullFrameMs(exact), 0.1 * frameMs);
    // A part of the half width, for the same light is behind both.
    EXPECT_LE(largest, 0.5);
    return largest;
}

class SecondLookAt : public testing::TestWithParam<Filming>
{
};

TEST_P(SecondLookAt, MovedRegionsEqualsMeasuringAnewOrDecodes)
{
    const FilmedClip clip(GetParam().changes);
    const Measurement first = clip.measured(clip.regions());
    ASSERT_FALSE(notes(first.result, "second-look"));
    int fromMap = 0;
    double largest = 0.0;
    for (const auto& [name, regions] : moves(clip.regions())) {
        SCOPED_TRACE(name);
        const Measurement looked = clip.measured(regions, first.memory, true);
        const ClipResult exact = clip.measured(regions).result;
        EXPECT_EQ(looked.result.regions, exact.regions);
        if (notes(looked.result, "second-look")) {
            ++fromMap;
            EXPECT_EQ(looked.result.scan.framesDecoded, 0);
            EXPECT_EQ(looked.memory, first.memory) << "only what was decoded is ground for more";
            largest = std::max(largest, expectAsExact(looked.result, exact));
        } else {
            EXPECT_GT(looked.result.scan.framesDecoded, 0);
            EXPECT_EQ(looked.result.presses, exact.presses);
            EXPECT_EQ(looked.result.traces, exact.traces);
        }
    }
    RecordProperty("from_map", fromMap);
    RecordProperty("largest_difference", fmt::format("{:.3f} half widths", largest));
    EXPECT_GE(fromMap, 1);
}

INSTANTIATE_TEST_SUITE_P(Scenes, SecondLookAt,
    testing::Values(Filming {"Plain", "{}"},
        Filming {"RollingShutter", R"({"camera": {"line_time_us": 14}})"},
        Filming {
            "ThousandFramesASecond", R"({"camera": {"capture_rate": 960, "exposure_ms": 0.8}})"},
        Filming {"HalfCoveredWithBloom", R"({"reference_lamp": {"covered_share": 0.5,
            "halo_brightness": 0.08, "halo_px": 12}})"},
        Filming {"RedLamps", R"({"reference_lamp": {"colour": [1, 0.05, 0.02]},
            "panel": {"lamp_image": {"colour": [1, 0.1, 0.1]}}})"},
        Filming {"Clipped", R"({"reference_lamp": {"brightness": 2.0}})"},
        Filming {
            "SlowPanelUpwards", R"({"panel": {"rise_ms": 3, "fall_ms": 3, "direction": "up"}})"},
        Filming {"MainsFlicker", R"({"room": {"mains_hz": 50, "brightness": 0.15}})"},
        Filming {"MovingPicture", R"({"panel": {"move_px": 3}})"},
        Filming {"Turned", R"({"file": {"rotation_deg": 90}})"},
        Filming {"Coarse", R"({"file": {"quality": 30, "gop": 120}})"}),
    [](const auto& named) { return named.param.name; });

TEST(SecondLook, OfARegionCutThroughTheLampDecodes)
{
    const FilmedClip clip("{}");
    const Measurement first = clip.measured(clip.regions());
    RegionSet cut = clip.regions();
    cut.reference = shifted(cut.reference, 21, 0);
    const Measurement looked = clip.measured(cut, first.memory, true);
    EXPECT_FALSE(notes(looked.result, "second-look"));
    EXPECT_GT(looked.result.scan.framesDecoded, 0);
    // And back: how much of the lamp was missing is not told by blocks.
    const Measurement back = clip.measured(clip.regions(), looked.memory, true);
    EXPECT_FALSE(notes(back.result, "second-look"));
    EXPECT_EQ(back.result.presses, first.result.presses);
}

TEST(SecondLook, IsTakenBackByMeasuringAgain)
{
    const FilmedClip clip("{}");
    const Measurement first = clip.measured(clip.regions());
    const RegionSet moved = moves(clip.regions()).back().second;
    const Measurement looked = clip.measured(moved, first.memory, true);
    ASSERT_TRUE(notes(looked.result, "second-look"));
    const Measurement again = clip.measured(moved, looked.memory);
    const Measurement anew = clip.measured(moved);
    EXPECT_FALSE(notes(again.result, "second-look"));
    EXPECT_EQ(again.result.presses, anew.result.presses);
    EXPECT_EQ(again.result.traces, anew.result.traces);
    // The map outlives the rescan of some regions.
    EXPECT_TRUE(notes(clip.measured(clip.regions(), again.memory, true).result, "second-look"));
}

TEST(SecondLook, OfRegionsThatStandIsExactAndSaysNothing)
{
    const FilmedClip clip("{}");
    const Measurement first = clip.measured(clip.regions());
    RegionSet without = clip.regions();
    without.panel.reset();
    const Measurement looked = clip.measured(without, first.memory, true);
    EXPECT_EQ(looked.result.scan.framesDecoded, 0);
    EXPECT_FALSE(notes(looked.result, "second-look"));
    EXPECT_EQ(looked.result.presses, clip.measured(without).result.presses);
}

TEST(SecondLook, NeedsTheWholeClipUnderTheSameTransfer)
{
    const FilmedClip clip("{}");
    const Measurement first = clip.measured(clip.regions());
    RegionRequest wanted = first.memory->regions;
    wanted.panel = grown(*wanted.panel, -6);
    ASSERT_TRUE(secondLook(wanted, *first.memory));
    ScanMemory memory = *first.memory;
    memory.scan.missing = {{7}};
    EXPECT_FALSE(secondLook(wanted, memory));
    memory = *first.memory;
    memory.scan.isComplete = false;
    EXPECT_FALSE(secondLook(wanted, memory));
    memory = *first.memory;
    memory.scan.map = nullptr;
    EXPECT_FALSE(secondLook(wanted, memory));
    wanted.transfer = TransferCurve::Srgb;
    EXPECT_FALSE(secondLook(wanted, *first.memory));
}

} // namespace
} // namespace twinlamp::measure

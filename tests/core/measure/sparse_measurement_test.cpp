// SPDX-License-Identifier: GPL-3.0-or-later
// A sparse scan against the full scan of the same clip, from random scenes of the film simulator.
#include "core/film/film.h"
#include "core/film/studio.h"
#include "core/measure/clip_measurement.h"
#include "tests/support/temporary_folder.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <spdlog/fmt/fmt.h>

namespace twinlamp::measure {
namespace {

struct Filming
{
    std::string name;
    int captureRateHz = 240;
    int gop = 30;
    double shortestHoldMs = 400.0;
    std::string changes; ///< of the scene, JSON
};

void PrintTo(const Filming& filming, std::ostream* out) { *out << filming.name; }

film::Scene sceneOf(const Filming& filming, int seed)
{
    const auto parsed
        = film::parseScene(fmt::format(R"({{"seed": {}, "picture": {{"width": 256, "height": 144}},
        "lamps": {{"programme": {{"kind": "random", "presses": 4, "start_ms": 330,
          "hold_ms": [{}, {}], "gap_ms": [{}, {}]}}}},
        "reference_lamp": {{"x": 52, "y": 70, "radius_px": 10, "soft_edge_px": 3,
          "brightness": 0.6}},
        "panel": {{"rect": [110, 20, 130, 100], "lamp_image": {{"radius_px": 11}}}},
        "camera": {{"capture_rate": {}, "exposure_ms": {}}},
        "file": {{"gop": {}, "quality": 16}}}})",
                               seed, 1.02 * filming.shortestHoldMs, 1.7 * filming.shortestHoldMs,
                               1.02 * filming.shortestHoldMs, 2.5 * filming.shortestHoldMs,
                               filming.captureRateHz, 700.0 / filming.captureRateHz, filming.gop),
            "test.json");
    EXPECT_TRUE(parsed.has_value()) << (parsed ? "" : parsed.error().detail);
    return parsed.value_or(film::Scene {});
}

class FilmedClip
{
public:
    explicit FilmedClip(const film::Scene& scene)
        : m_studio(scene)
        , m_rate(scene.camera.captureRate)
    {
        EXPECT_TRUE(film::filmScene(scene, path(), {}).hasValue());
    }

    [[nodiscard]] std::filesystem::path path() const { return m_folder / "clip.mp4"; }

    [[nodiscard]] Measurement measured(ScanMode mode, double shortestHoldMs, int threads = 1,
        const std::shared_ptr<const ScanMemory>& previous = nullptr) const
    {
        MeasureOptions options;
        options.captureRate = m_rate;
        options.reference = m_studio.regions().reference;
        options.goggle = m_studio.regions().goggle;
        options.panel = m_studio.regions().panel;
        options.scan = mode;
        options.shortestHoldMs = shortestHoldMs;
        options.threads = threads;
        auto measurement = measureClip(path(), options, {}, {}, previous);
        EXPECT_TRUE(measurement.hasValue())
            << (measurement.isError() ? measurement.error().detail : "");
        return measurement.hasValue() ? std::move(measurement).value() : Measurement {};
    }

private:
    tests::TemporaryFolder m_folder;
    film::Studio m_studio;
    FrameRate m_rate;
};

std::int64_t framesRead(const ClipResult& result)
{
    return std::ranges::count_if(
        result.traces.reference, [](float light) { return std::isfinite(light); });
}

bool notes(const ClipResult& result, std::string_view id)
{
    return std::ranges::any_of(result.notes, [id](const Sentence& note) { return note.id == id; });
}

void expectSamePresses(const ClipResult& sparse, const ClipResult& full)
{
    ASSERT_EQ(sparse.presses.size(), full.presses.size());
    for (std::size_t i = 0; i < full.presses.size(); ++i) {
        const Press& a = sparse.presses[i];
        const Press& b = full.presses[i];
        EXPECT_EQ(a.edge, b.edge) << i;
        EXPECT_EQ(a.accepted, b.accepted) << i;
        EXPECT_EQ(a.flags, b.flags) << i;
        ASSERT_EQ(a.latency.has_value(), b.latency.has_value()) << i;
        if (b.latency) {
            EXPECT_LE(std::abs(toMs(*a.latency) - toMs(*b.latency)), 0.1 * toMs(*b.uncertainty))
                << i;
            EXPECT_NEAR(toMs(*a.uncertainty), toMs(*b.uncertainty), 0.1 * toMs(*b.uncertainty))
                << i;
        }
    }
}

class SparseScanOf : public testing::TestWithParam<Filming>
{
};

TEST_P(SparseScanOf, RandomPressesEqualsAFullScan)
{
    for (const int seed : {3, 4}) {
        const FilmedClip clip(sceneOf(GetParam(), seed));
        const double hold = GetParam().shortestHoldMs;
        const ClipResult full = clip.measured(ScanMode::Full, hold).result;
        const ClipResult sparse = clip.measured(ScanMode::Sparse, hold).result;
        ASSERT_EQ(full.presses.size(), 8U);
        expectSamePresses(sparse, full);
        EXPECT_EQ(full.scan.mode, ScanMode::Full);
        EXPECT_EQ(sparse.scan.mode, ScanMode::Sparse)
            << (sparse.notes.empty() ? "" : english(sparse.notes.back()));
        EXPECT_TRUE(notes(sparse, "sparse-scan"));
        EXPECT_LT(framesRead(sparse), framesRead(full));
        EXPECT_GE(sparse.scan.framesDecoded, framesRead(sparse));
        // What was not decoded is not claimed.
        for (std::size_t k = 0; k < sparse.traces.frameCount(); ++k) {
            EXPECT_TRUE(std::isnan(sparse.traces.reference[k])
                || sparse.traces.reference[k] == full.traces.reference[k]);
            EXPECT_EQ(std::isnan(sparse.traces.reference[k]), std::isnan(sparse.traces.panel[k]));
        }
        const ClipResult other = clip.measured(ScanMode::Sparse, hold, 2).result;
        EXPECT_EQ(other.presses, sparse.presses) << "the number of threads has a say";
        EXPECT_EQ(framesRead(other), framesRead(sparse));
    }
}

INSTANTIATE_TEST_SUITE_P(Rates, SparseScanOf,
    testing::Values(Filming {"At120Gop12", 120, 12, 700.0, {}},
        Filming {"At240Gop30", 240, 30, 400.0, {}}, Filming {"At240Gop60", 240, 60, 400.0, {}},
        Filming {"At480Gop250", 480, 250, 700.0, {}}, Filming {"At480Gop12", 480, 12, 250.0, {}}),
    [](const auto& named) { return named.param.name; });

class SparseScanFallsBack : public testing::Test
{
protected:
    static void expectAllDecoded(const FilmedClip& clip, double shortestHoldMs)
    {
        const ClipResult full = clip.measured(ScanMode::Full, shortestHoldMs).result;
        const ClipResult sparse = clip.measured(ScanMode::Sparse, shortestHoldMs, 2).result;
        EXPECT_EQ(sparse.scan.mode, ScanMode::Full);
        EXPECT_EQ(sparse.presses, full.presses);
        EXPECT_EQ(sparse.traces, full.traces);
        EXPECT_EQ(sparse.panelTiming, full.panelTiming);
        EXPECT_TRUE(notes(sparse, "sparse-not-proved"));
    }
};

TEST_F(SparseScanFallsBack, WhereAHoldIsShorterThanStated)
{
    // Holds of 250 to 420 ms where 600 are stated: a third of them show.
    const FilmedClip clip(sceneOf({"", 240, 30, 250.0, {}}, 5));
    expectAllDecoded(clip, 600.0);
}

TEST_F(SparseScanFallsBack, WhereThePanelIsStrobed)
{
    film::Scene scene = sceneOf({"", 240, 30, 400.0, {}}, 6);
    scene.panel.strobe = film::Strobe {film::StrobeClock::Own, 2.1, 1.0, {}, false};
    expectAllDecoded(FilmedClip(scene), 400.0);
}

TEST_F(SparseScanFallsBack, WhereTheRoomFlickers)
{
    film::Scene scene = sceneOf({"", 240, 30, 400.0, {}}, 7);
    scene.room.mainsHz = 50.0;
    scene.room.brightness = 0.2;
    expectAllDecoded(FilmedClip(scene), 400.0);
}

TEST_F(SparseScanFallsBack, WhereThePictureOnThePanelMoves)
{
    film::Scene scene = sceneOf({"", 240, 30, 400.0, {}}, 8);
    scene.panel.movePx = 3.0;
    expectAllDecoded(FilmedClip(scene), 400.0);
}

TEST_F(SparseScanFallsBack, WhereNothingSwitches)
{
    film::Scene scene = sceneOf({"", 240, 30, 400.0, {}}, 9);
    scene.lamps.programme.kind = film::ProgrammeKind::List;
    scene.lamps.programme.edgesMs = {};
    scene.durationMs = 3000.0;
    expectAllDecoded(FilmedClip(scene), 400.0);
}

TEST(SparseScan, WithKeyframesTooFarApartDecodesAllAtOnce)
{
    const FilmedClip clip(sceneOf({"", 240, 60, 150.0, {}}, 10));
    const ClipResult sparse = clip.measured(ScanMode::Sparse, 100.0).result;
    EXPECT_EQ(sparse.scan.mode, ScanMode::Full);
    EXPECT_TRUE(notes(sparse, "sparse-no-gain"));
}

TEST(SparseScan, IsFilledInByAFullOne)
{
    const FilmedClip clip(sceneOf({"", 240, 30, 400.0, {}}, 11));
    const Measurement sparse = clip.measured(ScanMode::Sparse, 400.0);
    ASSERT_EQ(sparse.result.scan.mode, ScanMode::Sparse);
    const Measurement full = clip.measured(ScanMode::Full, 400.0);
    const Measurement filled = clip.measured(ScanMode::Full, 400.0, 2, sparse.memory);
    EXPECT_EQ(filled.result.scan.mode, ScanMode::Full);
    EXPECT_EQ(filled.result.presses, full.result.presses);
    EXPECT_EQ(filled.result.traces, full.result.traces);
}

TEST(SparseScan, UsesWhatAFullOneHasRead)
{
    const FilmedClip clip(sceneOf({"", 240, 30, 400.0, {}}, 12));
    const Measurement full = clip.measured(ScanMode::Full, 400.0);
    const Measurement again = clip.measured(ScanMode::Sparse, 400.0, 1, full.memory);
    EXPECT_EQ(again.result.scan.mode, ScanMode::Full);
    EXPECT_EQ(again.result.scan.framesDecoded, 0);
    EXPECT_EQ(again.result.presses, full.result.presses);
}

} // namespace
} // namespace twinlamp::measure

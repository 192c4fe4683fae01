// SPDX-License-Identifier: GPL-3.0-or-later
// A sparse scan against the full scan of the same clip, from random scenes of the film simulator.
#include "tests/core/measure/filmed_clip.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <gtest/gtest.h>
#include <thread>

namespace twinlamp::measure {
namespace {

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

TEST(SparseScan, TellsTracesWhileItRuns)
{
    const FilmedClip clip(sceneOf({"", 240, 30, 400.0, {}}, 11));
    MeasureOptions options = clip.options();
    options.scan = ScanMode::Sparse;
    options.shortestHoldMs = 400.0;
    options.threads = 1;
    std::vector<ClipTraces> told;
    std::size_t mostPresses = 0;
    MeasureObserver observer;
    observer.onProgress = [&](const ClipTraces& traces, const std::vector<Press>& presses) {
        told.push_back(traces);
        mostPresses = std::max(mostPresses, presses.size());
    };
    // As slow as a large clip: traces are told ten times a second at most.
    const JobControl control {{}, [](std::int64_t, std::int64_t) {
                                  std::this_thread::sleep_for(std::chrono::milliseconds(60));
                              }};
    const auto measured = measureClip(clip.path(), options, control, observer);
    ASSERT_TRUE(measured.hasValue());
    const ClipResult& result = measured.value().result;
    ASSERT_EQ(result.scan.mode, ScanMode::Sparse);
    ASSERT_FALSE(told.empty());
    EXPECT_LE(mostPresses, result.presses.size());
    for (const ClipTraces& traces : told) {
        for (std::size_t k = 0; k < traces.frameCount(); ++k) {
            EXPECT_TRUE(std::isnan(traces.reference[k])
                || traces.reference[k] == result.traces.reference[k]);
        }
    }
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

TEST(SparseScan, OfAMovedRegionDecodesAPartAsWell)
{
    const FilmedClip clip(sceneOf({"", 240, 30, 400.0, {}}, 12));
    const Measurement full = clip.measured(ScanMode::Full, 400.0);
    MeasureOptions options = clip.options();
    options.scan = ScanMode::Sparse;
    options.shortestHoldMs = 400.0;
    options.reference->x += 2;
    const Measurement fresh = clip.measuredWith(options);
    const Measurement moved = clip.measuredWith(options, full.memory);
    EXPECT_EQ(moved.result.scan.mode, ScanMode::Sparse);
    EXPECT_EQ(moved.result.presses, fresh.result.presses);
    EXPECT_EQ(framesRead(moved.result), framesRead(fresh.result));
}

} // namespace
} // namespace twinlamp::measure

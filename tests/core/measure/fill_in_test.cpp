// SPDX-License-Identifier: GPL-3.0-or-later
// A full scan that goes on where a sparse one left frames out, against one from nothing.
#include "core/footage/frame_index.h"
#include "tests/core/measure/filmed_clip.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fstream>
#include <gtest/gtest.h>
#include <iterator>
#include <optional>

namespace twinlamp::measure {
namespace {

constexpr double hold = 400.0;

class FillIn : public testing::TestWithParam<int>
{
protected:
    static film::Scene scene(int seed) { return sceneOf({"", 240, 30, hold, {}}, seed); }

    [[nodiscard]] static int threads() { return GetParam(); }
};

std::vector<std::int64_t> framesLeftOut(const ClipTraces& traces)
{
    std::vector<std::int64_t> frames;
    for (std::size_t k = 0; k < traces.frameCount(); ++k) {
        if (std::isnan(traces.reference[k])) {
            frames.push_back(static_cast<std::int64_t>(k));
        }
    }
    return frames;
}

/// NaN is the same as NaN here: a damaged frame.
void expectSameLight(const std::vector<float>& a, const std::vector<float>& b)
{
    EXPECT_TRUE(std::ranges::equal(
        a, b, [](float x, float y) { return x == y || (std::isnan(x) && std::isnan(y)); }));
}

/// All but how the frames came to be decoded.
void expectSame(const ClipResult& filled, const ClipResult& full)
{
    EXPECT_EQ(filled.scan.mode, ScanMode::Full);
    EXPECT_EQ(filled.clip, full.clip);
    EXPECT_EQ(filled.regions, full.regions);
    EXPECT_EQ(filled.presses, full.presses);
    EXPECT_EQ(filled.panelTiming, full.panelTiming);
    EXPECT_EQ(filled.notes, full.notes);
    EXPECT_EQ(filled.traces.exposureStart, full.traces.exposureStart);
    expectSameLight(filled.traces.reference, full.traces.reference);
    expectSameLight(filled.traces.goggle, full.traces.goggle);
    expectSameLight(filled.traces.panel, full.traces.panel);
}

TEST_P(FillIn, GivesWhatAFullScanGives)
{
    const FilmedClip clip(scene(11));
    const Measurement sparse = clip.measured(ScanMode::Sparse, hold, threads());
    ASSERT_EQ(sparse.result.scan.mode, ScanMode::Sparse);
    const Measurement full = clip.measured(ScanMode::Full, hold, threads());
    const Measurement filled = clip.measured(ScanMode::Full, hold, threads(), sparse.memory);
    expectSame(filled.result, full.result);
    // Both scans together; what is decoded twice leads from a keyframe to a frame that was left
    // out.
    const auto frames = full.result.clip.frames;
    EXPECT_GE(filled.result.scan.framesDecoded, frames);
    EXPECT_LT(filled.result.scan.framesDecoded - sparse.result.scan.framesDecoded, frames);
    EXPECT_GT(filled.result.scan.seconds, sparse.result.scan.seconds);
    // From then on nothing is left to decode.
    const Measurement again = clip.measured(ScanMode::Full, hold, threads(), filled.memory);
    expectSame(again.result, full.result);
    EXPECT_EQ(again.result.scan.framesDecoded, 0);
}

/// Measures every frame, stopped again and again, until it is through.
class Interrupted
{
public:
    Interrupted(const FilmedClip& clip, int threads, std::shared_ptr<const ScanMemory> memory)
        : m_memory(std::move(memory))
    {
        MeasureOptions options = clip.options();
        options.shortestHoldMs = hold;
        options.threads = threads;
        constexpr int mostStops = 50;
        while (!m_result && m_stops < mostStops) {
            measureOn(clip, options);
        }
    }

    [[nodiscard]] const ClipResult& result() const { return *m_result; }

    [[nodiscard]] int stops() const { return m_stops; }

    [[nodiscard]] std::int64_t framesVisited() const { return m_framesVisited; }

private:
    void measureOn(const FilmedClip& clip, const MeasureOptions& options)
    {
        std::stop_source stop;
        std::int64_t visited = 0;
        const JobControl control {stop.get_token(), [&](std::int64_t done, std::int64_t) {
                                      constexpr std::int64_t afterFrames = 100;
                                      visited = std::max(visited, done);
                                      if (done >= afterFrames) {
                                          stop.request_stop();
                                      }
                                  }};
        MeasureObserver observer;
        observer.onLeft
            = [&](std::shared_ptr<const ScanMemory> left) { m_memory = std::move(left); };
        const auto before = m_memory;
        auto outcome = measureClip(clip.path(), options, control, observer, m_memory);
        m_framesVisited += visited;
        if (outcome.hasValue()) {
            m_result = outcome.value().result;
            return;
        }
        ++m_stops;
        EXPECT_TRUE(outcome.isCancelled());
        EXPECT_NE(m_memory, before);
    }

    std::shared_ptr<const ScanMemory> m_memory;
    std::optional<ClipResult> m_result;
    int m_stops = 0;
    std::int64_t m_framesVisited = 0;
};

TEST_P(FillIn, StoppedGoesOnWhereItWas)
{
    const FilmedClip clip(scene(12));
    const Measurement full = clip.measured(ScanMode::Full, hold, threads());
    const Measurement sparse = clip.measured(ScanMode::Sparse, hold, threads());
    ASSERT_EQ(sparse.result.scan.mode, ScanMode::Sparse);
    const Interrupted filled(clip, threads(), sparse.memory);
    EXPECT_GT(filled.stops(), 2);
    expectSame(filled.result(), full.result);
    const auto leftOut = static_cast<std::int64_t>(framesLeftOut(sparse.result.traces).size());
    EXPECT_EQ(filled.framesVisited(), leftOut) << "no frame is visited twice";
}

TEST_P(FillIn, FromNothingGoesOnAsWell)
{
    const FilmedClip clip(scene(12));
    const Measurement full = clip.measured(ScanMode::Full, hold, threads());
    const Interrupted filled(clip, threads(), nullptr);
    EXPECT_GT(filled.stops(), 2);
    expectSame(filled.result(), full.result);
    EXPECT_EQ(filled.framesVisited(), full.result.clip.frames);
}

TEST_P(FillIn, FindsDamageWhereTheSparseScanDidNotLook)
{
    const FilmedClip clip(scene(13));
    const auto leftOut
        = framesLeftOut(clip.measured(ScanMode::Sparse, hold, threads()).result.traces);
    ASSERT_FALSE(leftOut.empty());
    const auto index = footage::indexClip(clip.path(), {}, {});
    ASSERT_TRUE(index.hasValue());
    // Decoding from its keyframe never passes it: the last frame of a GOP.
    const auto hit = std::ranges::find_if(leftOut, [&](std::int64_t k) {
        return std::ranges::find(index.value().keyframes, FrameIndex {k + 1})
            != index.value().keyframes.end();
    });
    ASSERT_NE(hit, leftOut.end());
    {
        std::fstream file(clip.path(), std::ios::binary | std::ios::in | std::ios::out);
        file.seekp(index.value().entries[static_cast<std::size_t>(*hit)].positionBytes);
        file << std::string(24, '\x5A');
    }
    const Measurement sparse = clip.measured(ScanMode::Sparse, hold, threads());
    ASSERT_EQ(sparse.result.scan.mode, ScanMode::Sparse);
    const Measurement full = clip.measured(ScanMode::Full, hold, threads());
    const Measurement filled = clip.measured(ScanMode::Full, hold, threads(), sparse.memory);
    expectSame(filled.result, full.result);
    EXPECT_TRUE(std::ranges::any_of(
        filled.result.notes, [](const Sentence& note) { return note.id == "frames-damaged"; }));
    EXPECT_TRUE(std::isnan(filled.result.traces.reference[static_cast<std::size_t>(*hit)]));
}

TEST_P(FillIn, LocatedRegionsStayWhereTheyWere)
{
    const FilmedClip clip(scene(14));
    MeasureOptions options = clip.options();
    options.reference.reset();
    options.goggle.reset();
    options.panel.reset();
    options.shortestHoldMs = hold;
    options.threads = threads();
    const Measurement full = clip.measuredWith(options);
    options.scan = ScanMode::Sparse;
    const Measurement sparse = clip.measuredWith(options);
    ASSERT_EQ(sparse.result.scan.mode, ScanMode::Sparse);
    options.scan = ScanMode::Full;
    expectSame(clip.measuredWith(options, sparse.memory).result, full.result);
}

TEST_P(FillIn, OfMovedRegionsReadsAllFrames)
{
    const FilmedClip clip(scene(15));
    const Measurement sparse = clip.measured(ScanMode::Sparse, hold, threads());
    MeasureOptions options = clip.options();
    options.shortestHoldMs = hold;
    options.threads = threads();
    options.reference->x += 2;
    const Measurement full = clip.measuredWith(options);
    const Measurement moved = clip.measuredWith(options, sparse.memory);
    expectSame(moved.result, full.result);
    EXPECT_EQ(moved.result.scan.framesDecoded, full.result.scan.framesDecoded);
}

INSTANTIATE_TEST_SUITE_P(Threads, FillIn, testing::Values(1, 2), testing::PrintToStringParamName());

} // namespace
} // namespace twinlamp::measure

// SPDX-License-Identifier: GPL-3.0-or-later
// The plan of a sparse scan against an oracle that knows every frame: lamps that switch at random,
// no hold shorter than stated. What is left undecoded must be what its neighbours are.
#include "core/measure/sparse_plan.h"

#include <algorithm>
#include <gtest/gtest.h>
#include <limits>
#include <random>

namespace twinlamp::measure {
namespace {

constexpr float missing = std::numeric_limits<float>::quiet_NaN();
constexpr double frameMs = 1000.0 / 240.0;

/// A clip whose light is known; frames show it once they are decoded.
class Clip
{
public:
    Clip(std::size_t frames, std::int64_t gop)
        : m_decoded(frames, 0)
        , m_reference(frames, missing)
        , m_goggle(frames, missing)
        , m_lamp(frames, 0.1F)
        , m_answer(frames, 0.05F)
    {
        for (std::size_t k = 0; k < frames; ++k) {
            m_startMs.push_back(static_cast<double>(k) * frameMs);
            if (static_cast<std::int64_t>(k) % gop == 0) {
                m_keyframes.push_back({static_cast<std::int64_t>(k)});
            }
        }
    }

    /// Lit over the frames [first, last); the goggle follows `lag` frames later.
    void press(std::size_t first, std::size_t last, std::size_t lag)
    {
        const auto light = [](std::vector<float>& trace, std::size_t from, std::size_t to) {
            for (std::size_t k = from; k < std::min(to, trace.size()); ++k) {
                trace[k] = 0.7F;
            }
        };
        light(m_lamp, first, last);
        light(m_answer, first + lag, last + lag);
        m_edges.push_back(first);
        m_edges.push_back(last);
    }

    void shade(std::size_t first, std::size_t last)
    {
        std::fill(m_answer.begin() + static_cast<std::ptrdiff_t>(first),
            m_answer.begin() + static_cast<std::ptrdiff_t>(last), 0.3F);
    }

    [[nodiscard]] SeenSoFar seen() const
    {
        return {m_keyframes, m_startMs, m_reference, m_goggle, m_decoded};
    }

    [[nodiscard]] FrameRange all() const
    {
        return {{0}, {static_cast<std::int64_t>(m_decoded.size())}};
    }

    void decode(const std::vector<FrameRange>& ranges)
    {
        for (const FrameRange range : ranges) {
            for (auto k = static_cast<std::size_t>(range.first.value);
                 k < static_cast<std::size_t>(range.last.value); ++k) {
                EXPECT_FALSE(m_decoded[k]) << "asked for again: " << k;
                // Decoding starts at keyframes.
                const bool starts = std::ranges::binary_search(
                    m_keyframes, FrameIndex {static_cast<std::int64_t>(k)});
                EXPECT_TRUE(starts || m_decoded[k - 1]) << k;
                m_decoded[k] = 1;
                m_reference[k] = m_lamp[k];
                m_goggle[k] = m_answer[k];
            }
        }
    }

    void decodeAllNeeded(const SparseNeeds& needs)
    {
        for (auto ranges = nextRanges(seen(), needs, all()); !ranges.empty();
             ranges = nextRanges(seen(), needs, all())) {
            decode(ranges);
        }
    }

    [[nodiscard]] bool isDecoded(std::size_t k) const { return m_decoded[k] != 0; }

    [[nodiscard]] double decodedShare() const
    {
        return static_cast<double>(std::ranges::count(m_decoded, 1))
            / static_cast<double>(m_decoded.size());
    }

    void expectAllSwitchingsSeen(const SparseNeeds& needs) const
    {
        const auto frames = m_decoded.size();
        for (const std::size_t edge : m_edges) {
            if (edge >= frames) {
                continue;
            }
            for (std::size_t k = edge - std::min(edge, needs.framesBefore);
                 k < std::min(frames, edge + needs.framesAfterReference); ++k) {
                ASSERT_TRUE(isDecoded(k)) << "edge " << edge << " frame " << k;
            }
        }
        std::size_t last = 0;
        ASSERT_TRUE(isDecoded(0));
        ASSERT_TRUE(isDecoded(frames - 1));
        for (std::size_t k = 1; k < frames; ++k) {
            if (!isDecoded(k)) {
                EXPECT_EQ(m_lamp[k], m_lamp[last]) << k;
                EXPECT_EQ(m_answer[k], m_answer[last]) << k;
                continue;
            }
            if (last + 1 < k) {
                EXPECT_LE(m_startMs[k] - m_startMs[last], needs.longestGapMs) << k;
            }
            last = k;
        }
    }

private:
    std::vector<FrameIndex> m_keyframes;
    std::vector<double> m_startMs;
    std::vector<char> m_decoded;
    std::vector<float> m_reference;
    std::vector<float> m_goggle;
    std::vector<float> m_lamp;
    std::vector<float> m_answer;
    std::vector<std::size_t> m_edges;
};

SparseNeeds needsFor(double shortestHoldMs)
{
    SparseNeeds needs;
    needs.longestGapMs = shortestHoldMs - frameMs;
    needs.referenceTolerance = unchangedShare * 0.6;
    needs.goggleTolerance = unchangedShare * 0.65;
    needs.framesBefore = 27;
    needs.framesAfterReference = 27;
    needs.afterGoggleMs = 90.0;
    needs.searchMs = 150.0;
    needs.answerLagMs = 30.0;
    return needs;
}

class SparsePlan : public testing::TestWithParam<std::int64_t> // frames from keyframe to keyframe
{
};

TEST_P(SparsePlan, MissesNoHoldAsLongAsStated)
{
    std::mt19937 random(GetParam()); // NOLINT: the same in every run
    for (int trial = 0; trial < 40; ++trial) {
        const std::size_t shortest = 12 + random() % 120;
        Clip clip(3000 + random() % 500, GetParam());
        for (std::size_t at = random() % 200; at < 3000;) {
            const std::size_t last = at + shortest + random() % 150;
            clip.press(at, last, random() % 20);
            at = last + shortest + random() % 300;
        }
        const SparseNeeds needs = needsFor(static_cast<double>(shortest) * frameMs);
        clip.decodeAllNeeded(needs);
        clip.expectAllSwitchingsSeen(needs);
    }
}

INSTANTIATE_TEST_SUITE_P(Gops, SparsePlan, testing::Values(1, 12, 30, 60, 250));

TEST(SparsePlanOf, OneSecondPressesDecodesAThird)
{
    Clip clip(14400, 30);
    for (std::size_t at = 170; at + 480 < 14400; at += 480) {
        clip.press(at, at + 240, 8);
    }
    clip.decodeAllNeeded(needsFor(400.0));
    EXPECT_LT(clip.decodedShare(), 0.36);
}

TEST(SparsePlanOf, AStillClipSamplesKeyframes)
{
    Clip clip(14400, 30);
    const SparseNeeds needs = needsFor(400.0);
    clip.decodeAllNeeded(needs);
    // A keyframe in 90 frames, and the last GOP.
    EXPECT_LT(clip.decodedShare(), (14400.0 / 90.0 + 31.0) / 14400.0);
    clip.expectAllSwitchingsSeen(needs);
}

TEST(SparsePlanOf, LongGopsDecodesTheirBeginnings)
{
    Clip clip(1000, 250);
    const SparseNeeds needs = needsFor(101.5 * frameMs);
    clip.decodeAllNeeded(needs);
    // All but the last 99 frames of each GOP, and all of the last one.
    for (std::size_t gop = 0; gop < 3; ++gop) {
        EXPECT_TRUE(clip.isDecoded(gop * 250 + 150));
        EXPECT_FALSE(clip.isDecoded(gop * 250 + 151));
    }
    clip.expectAllSwitchingsSeen(needs);
}

TEST(SparsePlanOf, TheEndDecodesAHoldThatItCutsOff)
{
    Clip clip(3000, 30);
    clip.press(2980, 3000, 4);
    clip.decodeAllNeeded(needsFor(400.0));
    EXPECT_TRUE(clip.isDecoded(2979));
    EXPECT_TRUE(clip.isDecoded(2980));
}

TEST(SparsePlanOf, AHoldShorterThanStatedShowsWhereASampleFallsIntoIt)
{
    Clip clip(3000, 30);
    clip.press(1495, 1515, 4); // around the keyframe 1500; samples lie 90 frames apart
    Clip other(3000, 30);
    other.press(1530, 1545, 4); // between two
    const SparseNeeds needs = needsFor(400.0);
    for (Clip* each : {&clip, &other}) {
        each->decode({{{0}, {1}}, {{1440}, {1441}}, {{1500}, {1501}}, {{1590}, {1591}}});
        each->decodeAllNeeded(needs);
    }
    EXPECT_TRUE(clip.isDecoded(1495));
    EXPECT_TRUE(clip.isDecoded(1515));
    // This one is what the stated hold promises not to be there.
    EXPECT_FALSE(other.isDecoded(1535));
}

TEST(SparsePlanOf, ALampWithoutAnswerLooksAsLongAsItIsSearchedFor)
{
    Clip clip(3000, 30);
    clip.press(600, 900, 3000);
    const SparseNeeds needs = needsFor(400.0);
    clip.decodeAllNeeded(needs);
    EXPECT_TRUE(clip.isDecoded(600 + 35));
    EXPECT_TRUE(clip.isDecoded(900 + 35));
}

TEST(SparsePlanOf, ALateAnswerDecodesAllFromTheLampOn)
{
    Clip clip(6000, 30);
    SparseNeeds needs = needsFor(1500.0);
    needs.searchMs = 800.0;
    clip.press(1000, 2000, 150);
    clip.decodeAllNeeded(needs);
    for (std::size_t k = 973; k < 1150 + 22; ++k) {
        EXPECT_TRUE(clip.isDecoded(k)) << k;
    }
    clip.expectAllSwitchingsSeen(needs);
}

TEST(SparsePlanOf, LightThatIsNeitherOnNorOffIsDecodedAround)
{
    Clip clip(3000, 30);
    clip.press(600, 900, 4);
    clip.shade(1700, 1900); // by something that passed before the goggle
    clip.decodeAllNeeded(needsFor(400.0));
    for (const std::size_t k : {1699U, 1700U, 1899U, 1900U}) {
        EXPECT_TRUE(clip.isDecoded(k)) << k;
    }
}

TEST(UndecodedRanges, AreTheRest)
{
    const std::vector<char> decoded {1, 0, 0, 1, 1, 0};
    const std::vector<FrameRange> rest {{{1}, {3}}, {{5}, {6}}};
    EXPECT_EQ(undecodedRanges(decoded), rest);
    EXPECT_TRUE(undecodedRanges(std::vector<char>(3, 1)).empty());
}

} // namespace
} // namespace twinlamp::measure

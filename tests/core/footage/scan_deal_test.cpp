// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/scan_deal.h"

#include <algorithm>
#include <cstdint>
#include <gtest/gtest.h>
#include <vector>

namespace twinlamp::tests {

namespace {

using footage::ScanChunk;
using footage::ScanDeal;

std::vector<ScanChunk> piecesOf(const std::vector<std::int64_t>& lengths)
{
    std::vector<ScanChunk> pieces;
    std::int64_t first = 0;
    for (const std::int64_t length : lengths) {
        pieces.push_back({{{first}, {first + length}}, 0, 1, false});
        first += length;
    }
    return pieces;
}

/// A scan in which a frame takes a thread a moment, and a start anew some more.
struct Played
{
    std::vector<double> endedAt; ///< of each thread
    std::int64_t starts = 0; ///< pieces that no decoder went on to
    std::vector<FrameRange> order; ///< as the pieces were finished
};

/// @param pace  moments that a frame takes each thread
Played play(std::vector<ScanChunk> pieces, const std::vector<double>& pace)
{
    ScanDeal deal(std::move(pieces), static_cast<int>(pace.size()));
    Played played;
    std::vector<double> freeAt(pace.size(), 0.0);
    std::vector<std::int64_t> stoppedAt(pace.size(), -1);
    std::vector<bool> isOver(pace.size(), false);
    while (std::ranges::find(isOver, false) != isOver.end()) {
        std::size_t thread = pace.size();
        for (std::size_t i = 0; i < pace.size(); ++i) {
            if (!isOver[i] && (thread == pace.size() || freeAt[i] < freeAt[thread])) {
                thread = i;
            }
        }
        const auto piece = deal.next(static_cast<int>(thread));
        if (!piece) {
            isOver[thread] = true;
            continue;
        }
        played.starts += stoppedAt[thread] == piece->frames.first.value ? 0 : 1;
        stoppedAt[thread] = piece->frames.last.value;
        freeAt[thread] += pace[thread] * static_cast<double>(piece->frames.frameCount());
        played.order.push_back(piece->frames);
    }
    played.endedAt = freeAt;
    return played;
}

void expectAllOnce(const Played& played, std::int64_t frames)
{
    auto order = played.order;
    std::ranges::sort(order, {}, &FrameRange::first);
    std::int64_t next = 0;
    for (const FrameRange range : order) {
        EXPECT_EQ(range.first.value, next);
        next = range.last.value;
    }
    EXPECT_EQ(next, frames);
}

TEST(ScanDeal, DealsEveryPieceOnceWhateverTheThreads)
{
    for (const std::size_t threads : {1U, 2U, 3U, 8U}) {
        for (const std::size_t pieces : {0U, 1U, 2U, 7U, 100U}) {
            const Played played = play(
                piecesOf(std::vector<std::int64_t>(pieces, 30)), std::vector<double>(threads, 1.0));
            expectAllOnce(played, 30 * static_cast<std::int64_t>(pieces));
        }
    }
}

TEST(ScanDeal, ADecoderSeldomStartsAnew)
{
    const Played played = play(piecesOf(std::vector<std::int64_t>(400, 30)), {1.0, 1.0});
    expectAllOnce(played, 12'000);
    EXPECT_LE(played.starts, 12'000 / 480 + 8);
}

TEST(ScanDeal, ThreadsEndTogetherThoughOneIsSlow)
{
    const Played played = play(piecesOf(std::vector<std::int64_t>(100, 30)), {1.0, 2.3});
    expectAllOnce(played, 3000);
    EXPECT_NEAR(played.endedAt[0], played.endedAt[1], 2.3 * 30);
}

TEST(ScanDeal, LongGopsAtTheEndDoNotKeepTheOthersWaiting)
{
    const Played played = play(
        piecesOf({35, 38, 36, 249, 142, 35, 38, 36, 249, 142, 35, 38, 36, 249, 142}), {1.0, 1.0});
    expectAllOnce(played, 1500);
    EXPECT_NEAR(played.endedAt[0], played.endedAt[1], 80.0);
}

TEST(ScanDeal, TheClipsBeginningComesFirst)
{
    const Played played = play(piecesOf(std::vector<std::int64_t>(400, 30)), {1.0, 1.0});
    std::int64_t behind = 0;
    for (std::size_t i = 0; i < 8; ++i) {
        behind = std::max(behind, played.order[i].last.value);
    }
    EXPECT_LE(behind, 360); // of 240 frames dealt
}

TEST(ScanDeal, TellsWhetherTheDecoderGoesOn)
{
    ScanDeal deal(piecesOf({30, 30, 30}), 1);
    EXPECT_TRUE(deal.next(0)->goesOn);
    EXPECT_TRUE(deal.next(0)->goesOn);
    EXPECT_FALSE(deal.next(0)->goesOn);
    EXPECT_FALSE(deal.next(0));
    std::vector<ScanChunk> apart = piecesOf({30, 30});
    apart[1].frames = {{90}, {120}};
    ScanDeal gap(apart, 1);
    EXPECT_FALSE(gap.next(0)->goesOn);
}

} // namespace

} // namespace twinlamp::tests

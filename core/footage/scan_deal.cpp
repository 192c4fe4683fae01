// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/scan_deal.h"

#include "core/base/contracts.h"

#include <algorithm>

namespace twinlamp::footage {

namespace {

// The first runs are short, so that the clip's first frames are complete after a fraction of a
// second; later ones long enough that the keyframe which each costs stays near 1 %.
constexpr std::int64_t firstRunFrames = 120;
constexpr std::int64_t longestRunFrames = 480;

// Frames a thread of the clip's end, of which the longest pieces come first where they are long: a
// GOP is one thread's alone, and the others should not have to wait for it.
constexpr std::int64_t endFrames = 480;
constexpr std::int64_t longPieceFrames = 120;

void putLongPiecesFirst(std::vector<ScanChunk>& pieces, int threads)
{
    std::int64_t frames = 0;
    auto first = pieces.end();
    while (first != pieces.begin() && frames < endFrames * threads) {
        frames += (--first)->frames.frameCount();
    }
    const auto last = std::find_if(
        first, pieces.end(), [](const ScanChunk& piece) { return piece.decoderThreads > 1; });
    const auto lengthOf = [](const ScanChunk& piece) { return piece.frames.frameCount(); };
    if (first != last && lengthOf(*std::max_element(first, last, [&](const auto& a, const auto& b) {
            return lengthOf(a) < lengthOf(b);
        })) >= longPieceFrames) {
        std::stable_sort(
            first, last, [&](const auto& a, const auto& b) { return lengthOf(a) > lengthOf(b); });
    }
}

bool followsOn(const ScanChunk& before, const ScanChunk& piece)
{
    return before.frames.last == piece.frames.first && before.decoderThreads == 1
        && piece.decoderThreads == 1;
}

} // namespace

ScanDeal::ScanDeal(std::vector<ScanChunk> pieces, int threads)
    : m_pieces(std::move(pieces))
    , m_runs(static_cast<std::size_t>(threads))
{
    TL_EXPECTS(threads >= 1);
    for (const ScanChunk& piece : m_pieces) {
        m_framesLeft += piece.frames.frameCount();
    }
    putLongPiecesFirst(m_pieces, threads);
}

ScanDeal::Run ScanDeal::dealt()
{
    // An even share for each thread that has nothing, at most.
    const auto idle
        = std::ranges::count_if(m_runs, [](const Run& run) { return run.next == run.last; });
    const std::int64_t most = std::min({longestRunFrames, firstRunFrames + m_framesDealt,
        m_framesLeft / std::max<std::int64_t>(1, idle)});
    Run run {m_dealt, m_dealt};
    std::int64_t frames = 0;
    while (m_dealt < m_pieces.size()
        && (run.last == run.next
            || (frames < most && followsOn(m_pieces[m_dealt - 1], m_pieces[m_dealt])))) {
        frames += m_pieces[m_dealt].frames.frameCount();
        run.last = ++m_dealt;
    }
    m_framesDealt += frames;
    m_framesLeft -= frames;
    return run;
}

ScanDeal::Run ScanDeal::halfOfTheLongest()
{
    const auto longest
        = std::ranges::max_element(m_runs, {}, [](const Run& run) { return run.last - run.next; });
    const std::size_t left = longest->last - longest->next;
    const Run half {longest->last - (left + 1) / 2, longest->last};
    longest->last = half.next;
    return half;
}

std::optional<ScanChunk> ScanDeal::next(int thread)
{
    const std::scoped_lock lock(m_mutex);
    Run& run = m_runs[static_cast<std::size_t>(thread)];
    if (run.next == run.last) {
        run = m_dealt < m_pieces.size() ? dealt() : halfOfTheLongest();
    }
    if (run.next == run.last) {
        return std::nullopt;
    }
    ScanChunk piece = m_pieces[run.next++];
    piece.goesOn = run.next < run.last && followsOn(piece, m_pieces[run.next]);
    return piece;
}

} // namespace twinlamp::footage

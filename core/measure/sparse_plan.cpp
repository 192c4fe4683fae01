// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/sparse_plan.h"

#include "core/onset/edge_finder.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace twinlamp::measure {

using onset::CoarseEdge;

namespace {

// A lamp switches within a frame; three leave room for its afterglow.
constexpr std::size_t lampLagFrames = 3;

class Planner
{
public:
    Planner(const SeenSoFar& seen, const SparseNeeds& needs, FrameRange within)
        : m_seen(seen)
        , m_needs(needs)
        , m_first(static_cast<std::size_t>(within.first.value))
        , m_last(static_cast<std::size_t>(within.last.value))
        , m_wanted(m_last - m_first, false)
    {
    }

    /// The frames between which nothing is hidden yet: samples, and gaps whose ends differ.
    void wantStates()
    {
        want(m_first);
        if (m_last == m_seen.decoded.size()) {
            // The last hold is cut off by the clip's end and may be as short as it likes.
            want(m_last - 1);
        }
        std::size_t before = m_first;
        for (std::size_t k = m_first + 1; k < m_last; ++k) {
            if (m_seen.decoded[k] != 0) {
                wantBetween(before, k);
                before = k;
            }
        }
        // The next frame after these is another section's, which samples it.
        sampleBetween(before, m_last);
    }

    /// What the analysis reads around each switching.
    void wantSwitchings()
    {
        const auto reference = edgesOf(m_seen.reference, lampLagFrames);
        const auto goggle = edgesOf(m_seen.goggle, framesOf(m_needs.answerLagMs));
        for (const CoarseEdge& edge : reference) {
            want(edge.frame - std::min(edge.frame, m_needs.framesBefore),
                edge.frame + m_needs.framesAfterReference);
            // The answer's window begins at the lamp's switching.
            want(
                edge.frame, answerOf(edge, goggle).value_or(frameAt(edge.frame, m_needs.searchMs)));
        }
        for (const CoarseEdge& edge : goggle) {
            want(edge.frame - std::min(edge.frame, m_needs.framesBefore),
                frameAt(edge.frame, m_needs.afterGoggleMs));
        }
    }

    void wantWindows()
    {
        for (const FrameRange window : m_needs.windows) {
            want(static_cast<std::size_t>(window.first.value),
                static_cast<std::size_t>(window.last.value));
        }
    }

    [[nodiscard]] std::vector<FrameRange> ranges() const
    {
        std::vector<FrameRange> ranges;
        for (std::size_t i = 0; i < m_wanted.size(); ++i) {
            const auto k = static_cast<std::int64_t>(m_first + i);
            if (!m_wanted[i] || m_seen.decoded[m_first + i] != 0) {
                continue;
            }
            if (ranges.empty() || ranges.back().last.value != k) {
                ranges.push_back({{k}, {k}});
            }
            ranges.back().last.value = k + 1;
        }
        return ranges;
    }

private:
    /// First frame of the GOP that a frame belongs to.
    [[nodiscard]] std::size_t keyframeOf(std::size_t k) const
    {
        const auto next
            = std::ranges::upper_bound(m_seen.keyframes, FrameIndex {static_cast<std::int64_t>(k)});
        return next == m_seen.keyframes.begin() ? 0
                                                : static_cast<std::size_t>(std::prev(next)->value);
    }

    /// The first keyframe behind a frame, or `end` where that comes first.
    [[nodiscard]] std::size_t keyframeBehind(std::size_t k, std::size_t end) const
    {
        const auto next
            = std::ranges::upper_bound(m_seen.keyframes, FrameIndex {static_cast<std::int64_t>(k)});
        return next == m_seen.keyframes.end()
            ? end
            : std::min(end, static_cast<std::size_t>(next->value));
    }

    [[nodiscard]] std::size_t framesOf(double ms) const
    {
        const double interval = (m_seen.startMs.back() - m_seen.startMs.front())
            / static_cast<double>(std::max<std::size_t>(1, m_seen.startMs.size() - 1));
        return std::max<std::size_t>(1, static_cast<std::size_t>(std::ceil(ms / interval)));
    }

    /// First frame that starts so long after frame k, or later.
    [[nodiscard]] std::size_t frameAt(std::size_t k, double laterMs) const
    {
        return static_cast<std::size_t>(
            std::ranges::lower_bound(m_seen.startMs, m_seen.startMs[k] + laterMs)
            - m_seen.startMs.begin());
    }

    [[nodiscard]] double startOf(std::size_t k) const
    {
        const auto& start = m_seen.startMs;
        return k < start.size() ? start[k] : start.back();
    }

    /// Frame k, and with it all that it takes to decode it.
    void want(std::size_t k)
    {
        for (std::size_t i = std::max(m_first, keyframeOf(k)); i <= k; ++i) {
            m_wanted[i - m_first] = true;
        }
    }

    void want(std::size_t first, std::size_t last)
    {
        first = std::max(first, m_first);
        last = std::min(last, m_last);
        for (std::size_t k = first; k < last; ++k) {
            if (k == first || !m_wanted[k - m_first]) {
                want(k);
            }
        }
    }

    void wantBetween(std::size_t a, std::size_t b)
    {
        if (b <= a + 1) {
            return;
        }
        sampleBetween(a, b);
        if (!differs(a, b)) {
            return;
        }
        // Halfway where decoding can start in between; else all of it.
        const auto keyframes = keyframesBetween(a, b);
        if (keyframes.empty()) {
            want(a, b);
        } else {
            want(static_cast<std::size_t>(keyframes[keyframes.size() / 2].value));
        }
    }

    [[nodiscard]] std::span<const FrameIndex> keyframesBetween(std::size_t a, std::size_t b) const
    {
        const auto first
            = std::ranges::upper_bound(m_seen.keyframes, FrameIndex {static_cast<std::int64_t>(a)});
        const auto last
            = std::ranges::lower_bound(m_seen.keyframes, FrameIndex {static_cast<std::int64_t>(b)});
        return first < last ? std::span(first, last) : std::span<const FrameIndex> {};
    }

    [[nodiscard]] bool differs(std::size_t a, std::size_t b) const
    {
        const auto isAlike = [&](std::span<const float> light, double tolerance) {
            return std::abs(static_cast<double>(light[b]) - static_cast<double>(light[a]))
                <= tolerance; // false for NaN
        };
        return !isAlike(m_seen.reference, m_needs.referenceTolerance)
            || !isAlike(m_seen.goggle, m_needs.goggleTolerance);
    }

    /// Frames between a and b, no two neighbours further apart than may be: keyframes where these
    /// are dense enough, else as much of a GOP as leaves no more than that before the next.
    void sampleBetween(std::size_t a, std::size_t b)
    {
        while (b > a + 1 && startOf(b) - startOf(a) > m_needs.longestGapMs) {
            std::size_t next = keyframeBehind(a, b);
            if (startOf(next) - startOf(a) > m_needs.longestGapMs) {
                const auto from = std::ranges::lower_bound(
                    m_seen.startMs, startOf(next) - m_needs.longestGapMs);
                want(a + 1,
                    std::max(a + 1, static_cast<std::size_t>(from - m_seen.startMs.begin())) + 1);
            } else {
                for (std::size_t further = keyframeBehind(next, b);
                     further < b && startOf(further) - startOf(a) <= m_needs.longestGapMs;
                     further = keyframeBehind(next, b)) {
                    next = further;
                }
            }
            if (next >= b) {
                return;
            }
            want(next);
            a = next;
        }
    }

    [[nodiscard]] std::vector<CoarseEdge> edgesOf(
        std::span<const float> light, std::size_t lag) const
    {
        auto edges = onset::findEdges(light.subspan(m_first, m_last - m_first), lag).edges;
        for (CoarseEdge& edge : edges) {
            edge.frame += m_first;
        }
        // Behind a gap nobody knows yet where it was.
        std::erase_if(edges, [&](const CoarseEdge& edge) {
            return edge.frame == m_first || m_seen.decoded[edge.frame - 1] == 0;
        });
        return edges;
    }

    /// Frame of the last edge that may be the answer.
    [[nodiscard]] std::optional<std::size_t> answerOf(
        const CoarseEdge& lamp, const std::vector<CoarseEdge>& goggle) const
    {
        std::optional<std::size_t> found;
        const double press = m_seen.startMs[lamp.frame];
        for (const CoarseEdge& answer : goggle) {
            const double after = m_seen.startMs[answer.frame] - press;
            if (answer.edge == lamp.edge && after >= 0.0 && after <= m_needs.searchMs) {
                found = answer.frame;
            }
        }
        return found;
    }

    const SeenSoFar& m_seen;
    const SparseNeeds& m_needs;
    std::size_t m_first;
    std::size_t m_last;
    std::vector<bool> m_wanted;
};

} // namespace

std::vector<FrameRange> nextRanges(
    const SeenSoFar& seen, const SparseNeeds& needs, FrameRange within)
{
    Planner states(seen, needs, within);
    states.wantStates();
    auto ranges = states.ranges();
    if (!ranges.empty()) {
        return ranges;
    }
    Planner switchings(seen, needs, within);
    switchings.wantSwitchings();
    switchings.wantWindows();
    return switchings.ranges();
}

std::vector<FrameRange> undecodedRanges(std::span<const char> decoded)
{
    std::vector<FrameRange> ranges;
    for (std::size_t k = 0; k < decoded.size(); ++k) {
        const auto frame = static_cast<std::int64_t>(k);
        if (decoded[k] != 0) {
            continue;
        }
        if (ranges.empty() || ranges.back().last.value != frame) {
            ranges.push_back({{frame}, {frame}});
        }
        ranges.back().last.value = frame + 1;
    }
    return ranges;
}

} // namespace twinlamp::measure

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/plots/trace_marks.h"

#include <QCoreApplication>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace twinlamp::ui {

namespace {

using session::Mark;

using MarkField = std::pair<Mark, std::optional<RealTime> Press::*>;

constexpr std::array<MarkField, 6> markFields {{
    {Mark::Onset, &Press::reference},
    {Mark::FirstLight, &Press::firstLight},
    {Mark::HalfLight, &Press::halfLight},
    {Mark::Settled, &Press::settled},
    {Mark::SweepStart, &Press::sweepStart},
    {Mark::FullFrame, &Press::fullFrame},
}};

/// Onset and first light decide the latency: they win over marks that lie this close.
constexpr double mainMarkLeadPx = 3.0;

} // namespace

bool canBeTaken(Mark mark) { return mark != Mark::SweepStart; }

QString markName(Mark mark)
{
    switch (mark) {
    case Mark::Onset:
        return QCoreApplication::translate("TraceMarks", "onset");
    case Mark::FirstLight:
        return QCoreApplication::translate("TraceMarks", "first light");
    case Mark::HalfLight:
        return QCoreApplication::translate("TraceMarks", "half light");
    case Mark::Settled:
        return QCoreApplication::translate("TraceMarks", "settled");
    case Mark::SweepStart:
        return QCoreApplication::translate("TraceMarks", "start of the sweep");
    case Mark::FullFrame:
        return QCoreApplication::translate("TraceMarks", "full frame");
    }
    return {};
}

Lane laneOf(Mark mark) { return mark == Mark::Onset ? Lane::Reference : Lane::Goggle; }

std::vector<TraceMark> traceMarks(std::span<const session::EffectivePress> presses)
{
    std::vector<TraceMark> marks;
    for (const session::EffectivePress& press : presses) {
        for (const auto& [mark, field] : markFields) {
            const std::optional<RealTime> counted = press.press.*field;
            if (!counted) {
                continue;
            }
            const std::optional<RealTime> measured = press.measured.*field;
            marks.push_back({press.press.index, mark, *counted,
                measured != counted ? measured : std::nullopt, press.press.accepted});
        }
    }
    return marks;
}

std::optional<std::size_t> markNear(std::span<const TraceMark> marks, Lane lane,
    const AxisMapping& msAxis, double px, double reach, std::optional<int> pressInHand)
{
    std::optional<std::size_t> best;
    auto bestRank = std::pair {true, reach};
    for (std::size_t i = 0; i < marks.size(); ++i) {
        const Mark mark = marks[i].mark;
        const bool inHand = marks[i].press == pressInHand;
        // Of other presses only these two are drawn.
        const bool main = mark == Mark::Onset || mark == Mark::FirstLight;
        if (laneOf(mark) != lane || !canBeTaken(mark) || !(main || inHand)) {
            continue;
        }
        const double distance = std::abs(msAxis.toPx(toMs(marks[i].time)) - px);
        const auto rank = std::pair {!inHand, main ? distance - mainMarkLeadPx : distance};
        if (distance <= reach && (!best || rank < bestRank)) {
            best = i;
            bestRank = rank;
        }
    }
    return best;
}

MsSpan spanOfPress(const Press& press)
{
    constexpr double beforeMs = 15.0;
    constexpr double afterMs = 20.0;
    constexpr double leastMs = 60.0;
    const double first = toMs(press.reference.value_or(press.firstLight.value_or(RealTime {})));
    double last = first;
    for (const auto& [mark, field] : markFields) {
        if (const auto time = press.*field) {
            last = std::max(last, toMs(*time));
        }
    }
    return {first - beforeMs, std::max(last + afterMs, first - beforeMs + leastMs)};
}

MsSpan keptInside(MsSpan wanted, MsSpan whole, double shortest)
{
    const double length = std::min(std::max(wanted.length(), shortest), whole.length());
    const double middle = (wanted.low + wanted.high) / 2.0;
    const double low = std::clamp(wanted.length() < shortest ? middle - length / 2.0 : wanted.low,
        whole.low, std::max(whole.low, whole.high - length));
    return {low, low + length};
}

MsSpan zoomed(MsSpan span, double at, double factor)
{
    return {at - (at - span.low) / factor, at + (span.high - at) / factor};
}

} // namespace twinlamp::ui

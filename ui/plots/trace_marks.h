// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/effective.h"
#include "ui/plots/ruler.h"

#include <QString>

#include <optional>
#include <span>
#include <vector>

namespace twinlamp::ui {

/// The two traces lie in lanes above each other, on one time axis.
enum class Lane
{
    Reference,
    Goggle
};

/// One mark of one press as the traces show it.
struct TraceMark
{
    int press = 0; ///< Press::index
    session::Mark mark = session::Mark::Onset;
    RealTime time;
    std::optional<RealTime> measured; ///< where it was measured, when a hand moved it
    bool accepted = true;
    bool operator==(const TraceMark&) const = default;
};

[[nodiscard]] Lane laneOf(session::Mark mark);
/// Whether a hand can take the mark; the sweep's start only shows where full frame counts from.
[[nodiscard]] bool canBeTaken(session::Mark mark);
/// "first light".
[[nodiscard]] QString markName(session::Mark mark);

/// Marks of all presses that have a time, by press and then by mark.
[[nodiscard]] std::vector<TraceMark> traceMarks(std::span<const session::EffectivePress> presses);

/// Index of the mark of a lane that is nearest to a pixel and within reach of it, of those that can
/// be taken; marks of the press in hand win over others, onset and first light over close ones.
/// `msAxis` maps ms of real time to pixels.
[[nodiscard]] std::optional<std::size_t> markNear(std::span<const TraceMark> marks, Lane lane,
    const AxisMapping& msAxis, double px, double reach, std::optional<int> pressInHand);

/// Stretch of real time that shows one press well. Unit: ms.
struct MsSpan
{
    double low = 0.0;
    double high = 1.0;
    bool operator==(const MsSpan&) const = default;

    [[nodiscard]] double length() const { return high - low; }
};

/// From a little before its onset to a little after its last mark.
[[nodiscard]] MsSpan spanOfPress(const Press& press);

/// `wanted` moved and cut so that it lies in `whole` and is `shortest` long at least.
[[nodiscard]] MsSpan keptInside(MsSpan wanted, MsSpan whole, double shortest);

/// `span` zoomed by a factor (above 1: closer) with the time `at` staying where it is.
[[nodiscard]] MsSpan zoomed(MsSpan span, double at, double factor);

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace twinlamp::session {

/// Marks of a press that a hand can move. Texts of the ids stand in the session file: never
/// renamed.
enum class Mark : std::uint8_t
{
    Onset, ///< of the reference lamp
    FirstLight,
    HalfLight,
    Settled,
    SweepStart,
    FullFrame
};

[[nodiscard]] std::string_view markId(Mark mark);
[[nodiscard]] std::optional<Mark> markFromId(std::string_view id);

/// Where a hand put a mark; what was measured stays as it is, beside it.
struct MarkCorrection
{
    Mark mark = Mark::Onset;
    RealTime time;
    bool operator==(const MarkCorrection&) const = default;
};

/// A press accepted or set aside by hand, against or with what the program chose.
struct HandChoice
{
    bool accepted = true;
    std::string reason; ///< the tester's words, or empty
    bool operator==(const HandChoice&) const = default;
};

/// Everything that was done by hand to one press.
struct PressCorrection
{
    int press = 0; ///< Press::index in the measurement
    std::vector<MarkCorrection> marks; ///< by rising mark, each at most once
    std::optional<HandChoice> choice;
    bool operator==(const PressCorrection&) const = default;

    [[nodiscard]] bool isEmpty() const { return marks.empty() && !choice; }
};

} // namespace twinlamp::session

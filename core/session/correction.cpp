// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/correction.h"

#include "core/base/contracts.h"

#include <algorithm>
#include <array>
#include <utility>

namespace twinlamp::session {

namespace {

constexpr std::array<std::pair<Mark, std::string_view>, 6> markIds {{
    {Mark::Onset, "onset"},
    {Mark::FirstLight, "first-light"},
    {Mark::HalfLight, "half-light"},
    {Mark::Settled, "settled"},
    {Mark::SweepStart, "sweep-start"},
    {Mark::FullFrame, "full-frame"},
}};

} // namespace

std::string_view markId(Mark mark)
{
    const auto found = std::ranges::find(markIds, mark, &std::pair<Mark, std::string_view>::first);
    TL_EXPECTS(found != markIds.end());
    return found->second;
}

std::optional<Mark> markFromId(std::string_view id)
{
    const auto found = std::ranges::find(markIds, id, &std::pair<Mark, std::string_view>::second);
    return found == markIds.end() ? std::nullopt : std::optional<Mark>(found->first);
}

} // namespace twinlamp::session

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/press.h"

#include "core/base/contracts.h"

#include <algorithm>
#include <iterator>
#include <string_view>

namespace twinlamp {

void setAside(Press& press, Flag reason)
{
    TL_EXPECTS(canSetAside(reason));
    addFlag(press.flags, reason);
    press.accepted = false;
}

Flags reasonsSetAside(const Press& press)
{
    Flags reasons;
    if (!press.accepted) {
        std::ranges::copy_if(press.flags, std::back_inserter(reasons), canSetAside);
    }
    return reasons;
}

Flags flagsOf(const std::vector<Press>& presses)
{
    Flags flags;
    for (std::size_t i = 0; i < flagCount; ++i) {
        const auto flag = static_cast<Flag>(i);
        if (std::ranges::any_of(
                presses, [flag](const Press& press) { return hasFlag(press.flags, flag); })) {
            flags.push_back(flag);
        }
    }
    return flags;
}

Flags panelDoubts(const PanelTiming& timing)
{
    const auto has = [&](std::string_view sign) {
        return std::ranges::find(timing.signs, sign) != timing.signs.end();
    };
    const bool twoSigns = has("moving-picture") && has("steps-after-a-press");
    return (timing.newFrameInterval || timing.refreshInterval) && !twoSigns ? Flags {Flag::OneSign}
                                                                            : Flags {};
}

} // namespace twinlamp

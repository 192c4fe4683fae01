// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/plan/plan_search.h"

#include <array>
#include <charconv>
#include <cmath>

namespace twinlamp::stats {

Result<std::int64_t> fewestPresses(
    std::int64_t first, const std::function<bool(std::int64_t)>& enough)
{
    std::int64_t below = first - 1;
    std::int64_t reach = first;
    while (!enough(reach)) {
        if (reach >= mostPlannedPresses) {
            return fail(Stage::Stats, Cause::InvalidValue,
                "this would take more than " + std::to_string(mostPlannedPresses)
                    + " presses; ask for less");
        }
        below = reach;
        reach = std::min(mostPlannedPresses, reach * 2);
    }
    while (reach - below > 1) {
        const std::int64_t middle = below + (reach - below) / 2;
        (enough(middle) ? reach : below) = middle;
    }
    return reach;
}

Result<void> checkShare(const char* what, double value)
{
    if (value > 0.0 && value < 1.0) {
        return {};
    }
    return fail(Stage::Stats, Cause::InvalidValue,
        std::string(what) + " is " + shortText(value) + "; it has to lie between 0 and 1");
}

Result<void> checkPositive(const char* what, double value)
{
    if (value > 0.0 && std::isfinite(value)) {
        return {};
    }
    return fail(Stage::Stats, Cause::InvalidValue,
        std::string(what) + " is " + shortText(value) + "; it has to be larger than 0");
}

std::string shortText(double value)
{
    std::array<char, 32> text {};
    const auto end = std::to_chars(text.data(), text.data() + text.size(), value);
    return {text.data(), end.ptr};
}

std::vector<Sentence> commonAssumptions() { return {{"plan-independent", {}}, {"plan-runs", {}}}; }

} // namespace twinlamp::stats

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/session.h"
#include "tests/core/stats/compare/simulated_link.h"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

/// Invented campaigns, filed as `measure --session` files clips, without footage.
namespace twinlamp::tests {

/// One link setting of a campaign, and how it is pressed.
struct BenchSetting
{
    std::string name;
    stats::simulated::Link link {"Free", 60.0, 100.0, 7.3e-3, 15.0, 0.3};
    int runs = 5;
    int presses = 20; ///< of `on` edges, in each run
    int lost = 0; ///< of these, the last ones of each run, never answered
    session::Conditions conditions {};
    std::string rig {};
    double zeroMs = 0.0;
    double commonMs = 0.02; ///< standard uncertainty that is the same in all presses
    std::optional<double> everyMs {}; ///< presses exactly so far apart; else at random
};

/// Files a clip a run. Off edges lie 2 ms above the on edges, full frames 8 ms.
void fileCampaign(const std::filesystem::path& file, const std::vector<BenchSetting>& settings,
    std::uint64_t seed, std::optional<double> lateLimitMs = {});

} // namespace twinlamp::tests

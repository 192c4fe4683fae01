// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>

namespace twinlamp::bench {

/// Shape of an invented campaign.
struct CampaignSize
{
    int settings = 200;
    int runs = 5; ///< of each setting, one clip each
    int presses = 100; ///< of each clip
};

/// A closed session of that size, made once and kept in the folder for temporary files.
/// Presses carry what measured ones do: seven parts of an uncertainty and two fitted models.
/// Ends the program where it cannot be made.
[[nodiscard]] std::filesystem::path campaign(const CampaignSize& size);

/// A copy of it that a benchmark may change, made anew.
[[nodiscard]] std::filesystem::path changeableCampaign(const CampaignSize& size);

} // namespace twinlamp::bench

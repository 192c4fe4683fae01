// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/session.h"

#include <string>
#include <vector>

namespace twinlamp::ui::tests {

/// One setting of an invented campaign: `on` presses around 20 ms plus the offset of their run.
struct CampaignSetting
{
    std::string name;
    std::vector<double> runOffsetsMs;
    int presses = 12; ///< of each run
    double stepMs = 0.31; ///< how far the presses of a run scatter
};

/// A session without a file.
[[nodiscard]] session::Session campaign(const std::vector<CampaignSetting>& settings);

} // namespace twinlamp::ui::tests

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"
#include "core/film/sample_set.h"
#include "core/session/session.h"

#include <filesystem>

namespace twinlamp::ui {

/// Where the sample clips and the session on them lie: the user's data folder.
[[nodiscard]] std::filesystem::path sampleFolder();
[[nodiscard]] std::filesystem::path sampleSessionFile();

/// The part of a set that the sample session shows: clips that belong to a link setting.
[[nodiscard]] film::SampleSet campaignOf(film::SampleSet set);

/// Conditions of an invented link setting as a session keeps them.
[[nodiscard]] session::Conditions conditionsOf(const film::SampleSetting& setting);

/// Writes a new session on the clips of a campaign, none of them measured yet. Nothing is left
/// behind where that fails.
/// @error Session/…
[[nodiscard]] Result<void> writeSampleSession(const film::SampleSet& campaign,
    const std::filesystem::path& clips, const std::filesystem::path& file);

} // namespace twinlamp::ui

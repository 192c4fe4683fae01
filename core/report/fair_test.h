// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/sentence.h"
#include "core/report/setting_presses.h"

#include <span>
#include <vector>

namespace twinlamp::report {

/// Whether two settings were measured alike, so that what differs is the link.
struct FairTest
{
    std::vector<Sentence> sentences;
    /// Rig, capture rate, zero or time-base check differ: what they leave in doubt is then not
    /// common to both settings.
    bool rigsDiffer = false;
    /// Squared standard uncertainty, ms^2, of that doubt in B less A; 0 where the rigs are alike.
    double rigVarianceMs2 = 0.0;
    std::vector<Sentence> conditions; ///< those that differ
};

/// Compares rigs, capture rates, checks, exposure, line time, edges, search span, light curve, the
/// lamp's place and the conditions, and looks whether the presses of each clip were spread over the
/// link's frame. A phase in step is believed at an error of 1 % over all clips of a setting
/// (Bonferroni).
/// Tests: tests/core/report/fair_test_test.cpp
[[nodiscard]] FairTest fairTest(const SettingPresses& a, const SettingPresses& b);

/// The largest rigVarianceMs2 that fairTest gives for any two of them, without the rest of it.
[[nodiscard]] double largestRigVarianceMs2(std::span<const SettingPresses> settings);

} // namespace twinlamp::report

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/sentence.h"
#include "core/stats/compare/run_comparison.h"

#include <optional>
#include <string>
#include <vector>

namespace twinlamp::report {

struct ComparedSetting;
struct SettingComparison;

/// What the figures of a comparison say, verdicts first, then what they rest on, then the fair
/// test.
[[nodiscard]] std::vector<Sentence> comparisonSentences(const SettingComparison& comparison);

/// How often a setting was late, and what so many presses can miss; nothing without a late limit.
/// `name` says which setting: its letter or its name.
[[nodiscard]] std::optional<Sentence> lateSentence(
    const std::string& name, const ComparedSetting& setting);
/// Names presses far from the others; nothing where there are none.
[[nodiscard]] std::optional<Sentence> outliersSentence(
    const std::string& name, const ComparedSetting& setting);

/// Whether a figure has a value at all: not where a setting has no run that gave it.
[[nodiscard]] bool hasValue(const stats::RunComparison& comparison);

/// "0.031", "< 0.001".
[[nodiscard]] std::string pValueText(double pValue);

} // namespace twinlamp::report

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/sentence.h"
#include "core/stats/compare/run_comparison.h"

#include <string>
#include <vector>

namespace twinlamp::report {

struct SettingComparison;

/// What the figures of a comparison say, verdicts first, then what they rest on, then the fair
/// test.
[[nodiscard]] std::vector<Sentence> comparisonSentences(const SettingComparison& comparison);

/// Whether a figure has a value at all: not where a setting has no run that gave it.
[[nodiscard]] bool hasValue(const stats::RunComparison& comparison);

/// "0.031", "< 0.001".
[[nodiscard]] std::string pValueText(double pValue);

} // namespace twinlamp::report

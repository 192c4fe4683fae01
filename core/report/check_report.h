// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/base/rig_check.h"
#include "core/report/json_writer.h"

#include <optional>
#include <string>
#include <vector>

namespace twinlamp::report {

/// Whether a check can be taken as it is.
enum class CheckVerdict : std::uint8_t
{
    Good,
    Look, ///< it stands, with a doubt to read
    Mend ///< something is wrong with the check itself
};

[[nodiscard]] CheckVerdict verdictOf(const CheckResult& check);

/// What a check found, its figures cut to the digits that their half widths carry; then what
/// follows from it, and what to doubt.
[[nodiscard]] std::vector<Sentence> checkSentences(const CheckResult& check);

/// Regions that a check read; no goggle lamp in a time-base check.
struct CheckedRegions
{
    RectPx reference;
    std::optional<RectPx> goggle;
    RegionSource source = RegionSource::Given;
};

/// The JSON of `twinlamp zero` and `twinlamp timebase`.
[[nodiscard]] Json checkJson(
    const CheckResult& check, const ClipFacts& clip, const CheckedRegions& regions);

/// The same for a check that found nothing: its figures are null.
[[nodiscard]] Json emptyCheckJson(CheckKind kind, const std::string& reason);

/// Clip line and sentences, one a line.
[[nodiscard]] std::string checkText(const CheckResult& check, const ClipFacts& clip);

} // namespace twinlamp::report

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/sentence.h"
#include "core/report/json_writer.h"
#include "core/session/session.h"
#include "core/stats/agreement/bland_altman.h"
#include "core/stats/agreement/repeated_agreement.h"

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace twinlamp::report {

/// What a pair of a readout check is made of.
enum class PairsOf : std::uint8_t
{
    Presses, ///< the readout typed for a press, against its latency
    Settings ///< the median of those typed for a setting, against the setting's median
};

struct ReadoutCheckOptions
{
    PairsOf of = PairsOf::Presses;
    session::SettingId setting {}; ///< 0: all settings
};

/// A latency that the goggle displayed about itself, and what was measured; ms.
struct NamedPair
{
    std::string setting;
    std::string run; ///< both empty where the pair is a setting's
    std::string clip;
    int press = 0; ///< from 1; 0 where the pair is a setting's
    stats::ReadoutPair pair;
};

enum class ReadoutVerdict : std::uint8_t
{
    Undecided,
    ReadsLess, ///< than measured
    ReadsMore
};

[[nodiscard]] std::string_view verdictId(ReadoutVerdict verdict);

/// Figures that the goggle displays about itself against the measured ones.
struct ReadoutCheck
{
    PairsOf of = PairsOf::Presses;
    std::vector<NamedPair> pairs;
    /// Readouts without a partner: of an off edge, of a press set aside or without an answer, of a
    /// setting without a median.
    int withoutPartner = 0;
    /// Pairs as independent; empty below 2 pairs.
    std::optional<stats::Agreement> agreement;
    std::size_t runs = 0; ///< with a pair; settings where the pairs are settings
    /// What decides, because presses of one run share an offset: bias over the means of the runs,
    /// limits from the scatter between and within runs, slope within runs. Where the pairs are
    /// settings each is a run of its own. Empty below 2 runs.
    std::optional<stats::RepeatedAgreement> byRuns;
    ReadoutVerdict verdict = ReadoutVerdict::Undecided; ///< needs 3 runs
    std::vector<Sentence> sentences;
};

/// Bland-Altman check of the readouts in a session (core/stats/agreement); on edges alone.
/// Tests: tests/core/report/readout_check_test.cpp
[[nodiscard]] ReadoutCheck readoutCheck(
    const session::Session& session, const ReadoutCheckOptions& options = {});

/// The JSON of `twinlamp session agreement`.
[[nodiscard]] Json readoutCheckJson(const ReadoutCheck& check);
/// A table of the figures, then a sentence a line.
[[nodiscard]] std::string readoutCheckText(const ReadoutCheck& check);

} // namespace twinlamp::report

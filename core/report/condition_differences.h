// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/sentence.h"
#include "core/session/session.h"

#include <vector>

namespace twinlamp::report {

/// The conditions of two settings, a sentence for each that differs: "Bit rate: A 20 Mbit/s, B 40
/// Mbit/s." The lamp's place on the panel and the notes are no part of it: the one belongs to the
/// fair test, the others are free words.
[[nodiscard]] std::vector<Sentence> conditionDifferences(
    const session::Conditions& a, const session::Conditions& b);

/// "not told" for what a setting leaves open.
[[nodiscard]] std::string orNotTold(const std::string& text);

} // namespace twinlamp::report

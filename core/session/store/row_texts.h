// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/flag.h"
#include "core/base/sentence.h"

#include <string>
#include <string_view>
#include <vector>

/// Lists that stand in one column as text. Reading throws DamagedSession for an unknown word, and
/// what the JSON library throws.
namespace twinlamp::session::store {

/// Takes the next word off a text of words with one blank between.
[[nodiscard]] std::string_view takeWord(std::string_view& text);

[[nodiscard]] std::string flagsText(const Flags& flags);
[[nodiscard]] Flags flagsFrom(std::string_view text);

/// A JSON list of ids and values.
[[nodiscard]] std::string notesText(const std::vector<Sentence>& notes);
[[nodiscard]] std::vector<Sentence> notesFrom(const std::string& text);

} // namespace twinlamp::session::store

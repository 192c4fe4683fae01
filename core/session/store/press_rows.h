// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/session.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

/// Measured presses as rows. Throw what SQLite throws; DamagedSession for an unknown word.
namespace twinlamp::session::store {

void insertPresses(
    SQLite::Database& database, std::int64_t clip, const std::vector<Press>& presses);
/// All presses of the file, into the measurements of their clips (by ClipId::value).
void loadPresses(
    SQLite::Database& database, std::unordered_map<std::int64_t, ClipMeasurement>& measurements);

/// "first-light=0.031/12.5 common:capture-rate=0.0012": one word a part, ms in the shortest digits
/// that read back the same; after a stroke the degrees of freedom, where they are known.
[[nodiscard]] std::string partsText(const std::vector<UncertaintyPart>& parts);
[[nodiscard]] std::vector<UncertaintyPart> partsFrom(std::string_view text);

} // namespace twinlamp::session::store

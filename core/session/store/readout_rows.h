// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/session.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <unordered_map>
#include <vector>

/// What the goggle displayed about itself as rows. Throw what SQLite throws.
namespace twinlamp::session::store {

/// Takes away what is there and writes these in its place.
void writeReadouts(
    SQLite::Database& database, ClipId clip, const std::vector<PressReadout>& readouts);
void writeReadouts(
    SQLite::Database& database, SettingId setting, const std::vector<SettingReadout>& readouts);

/// By ClipId::value and SettingId::value.
[[nodiscard]] std::unordered_map<std::int64_t, std::vector<PressReadout>> loadPressReadouts(
    SQLite::Database& database);
[[nodiscard]] std::unordered_map<std::int64_t, std::vector<SettingReadout>> loadSettingReadouts(
    SQLite::Database& database);

} // namespace twinlamp::session::store

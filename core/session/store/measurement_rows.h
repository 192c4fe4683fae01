// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/session.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <unordered_map>

/// What belongs to one clip as rows. Throw what SQLite throws; DamagedSession where a word or a
/// list cannot be read.
namespace twinlamp::session::store {

using ClipKey = std::int64_t; ///< ClipId::value

/// Takes away the clip's measurement and writes `measurement`, if any, in its place.
void writeMeasurement(
    SQLite::Database& database, ClipKey clip, const SharedValue<ClipMeasurement>& measurement);
[[nodiscard]] std::unordered_map<ClipKey, ClipMeasurement> loadMeasurements(
    SQLite::Database& database);

/// `role` is "wanted" or "used".
void writeOptions(SQLite::Database& database, ClipKey clip, const char* role,
    const measure::MeasureOptions& options);
[[nodiscard]] std::unordered_map<ClipKey, measure::MeasureOptions> loadOptions(
    SQLite::Database& database, const char* role);

/// Takes away the clip's corrections and writes these in their place.
void writeCorrections(
    SQLite::Database& database, ClipKey clip, const std::vector<PressCorrection>& corrections);
[[nodiscard]] std::unordered_map<ClipKey, std::vector<PressCorrection>> loadCorrections(
    SQLite::Database& database);

} // namespace twinlamp::session::store

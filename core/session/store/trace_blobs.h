// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/session/ids.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <optional>
#include <string>
#include <vector>

/// Traces as blobs: instants as 64-bit integers of ns, light as 32-bit IEEE floats, both
/// little-endian. Throw what SQLite throws.
namespace twinlamp::session::store {

[[nodiscard]] TracesId insertTraces(SQLite::Database& database, const ClipTraces& traces);
/// Under an id that they have in another file; what has that id here already is the same.
void insertTraces(SQLite::Database& database, TracesId id, const ClipTraces& traces);
/// Nothing where no traces have that id. @throws DamagedSession  blobs of different lengths
[[nodiscard]] std::optional<ClipTraces> loadTraces(SQLite::Database& database, TracesId id);

/// Light of some frames alone. @throws DamagedSession  the blob ends within a value
[[nodiscard]] std::string lightBytes(const std::vector<float>& light);
[[nodiscard]] std::vector<float> lightFrom(const SQLite::Column& column);

} // namespace twinlamp::session::store

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/session.h"

#include <filesystem>

namespace twinlamp::session::store {

/// Takes out of a copied session what tells who made it and where: accounts in the history, and the
/// folders of clips (footage in the session's folder or below it keeps its way from there), also
/// where a note or the history names them. What the tester typed stays, but for those folders.
/// Nothing of it is left in the file's bytes.
///
/// @param folder  of the session that was copied
/// Throws what SQLite throws.
void dropPersons(
    const std::filesystem::path& copy, const Session& session, const std::filesystem::path& folder);

} // namespace twinlamp::session::store

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/store/session_file.h"

#include <string>

namespace twinlamp::session::store {

/// Files a check in the rig of that name, which is made where there is none, as one edit.
/// @param date  YYYY-MM-DD
/// @error Session/InvalidValue  an empty name, no date; Session/NoAccess, WriteFailed
[[nodiscard]] Result<RigCheckId> fileCheck(
    SessionFile& file, const std::string& rig, const std::string& date, CheckResult result);

} // namespace twinlamp::session::store

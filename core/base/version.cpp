// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/version.h"

namespace twinlamp {

std::string_view version() { return TWINLAMP_VERSION; }

} // namespace twinlamp

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string_view>

namespace twinlamp {

/// Version of this build, "major.minor.patch": in every export, so that a figure can be traced.
[[nodiscard]] std::string_view version();

} // namespace twinlamp

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <compare>
#include <cstdint>

namespace twinlamp::ui {

enum class TreeKind
{
    Setting,
    Run,
    Clip
};

/// What a row of the session tree stands for; `id` is the value of its SettingId, RunId or ClipId.
struct TreePlace
{
    TreeKind kind = TreeKind::Setting;
    std::int64_t id = 0;
    auto operator<=>(const TreePlace&) const = default;
};

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "ui/theme/colours.h"

#include <QSize>
#include <QString>

#include <array>
#include <optional>

namespace twinlamp::ui {

enum class RegionKind
{
    Reference,
    Goggle,
    Panel
};

inline constexpr std::array regionKinds {
    RegionKind::Reference, RegionKind::Goggle, RegionKind::Panel};

/// "reference lamp", "goggle lamp", "panel".
[[nodiscard]] QString regionName(RegionKind kind);
[[nodiscard]] QString regionIcon(RegionKind kind);
[[nodiscard]] ColourRole regionColour(RegionKind kind);

/// The rectangle of one kind; only the panel can be missing.
[[nodiscard]] std::optional<RectPx> regionOf(const RegionSet& set, RegionKind kind);
/// `set` with one rectangle put in, a panel's corners then gone; given by hand from then on.
[[nodiscard]] RegionSet withRegion(RegionSet set, RegionKind kind, std::optional<RectPx> rect);
/// `set` with a panel given by four corners put in; given by hand from then on.
[[nodiscard]] RegionSet withPanelCorners(RegionSet set, const QuadPx& corners);
/// Where regions start that must be placed by hand: side by side, no panel.
[[nodiscard]] RegionSet startingRegions(QSize picture);

} // namespace twinlamp::ui

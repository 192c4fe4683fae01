// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/region_kind.h"

#include "ui/footage/region_geometry.h"

#include <QCoreApplication>

#include <algorithm>

namespace twinlamp::ui {

QString regionName(RegionKind kind)
{
    switch (kind) {
    case RegionKind::Reference:
        return QCoreApplication::translate("RegionKind", "reference lamp");
    case RegionKind::Goggle:
        return QCoreApplication::translate("RegionKind", "goggle lamp");
    case RegionKind::Panel:
        return QCoreApplication::translate("RegionKind", "panel");
    }
    return {};
}

QString regionIcon(RegionKind kind)
{
    switch (kind) {
    case RegionKind::Reference:
        return QStringLiteral("reference-lamp");
    case RegionKind::Goggle:
        return QStringLiteral("goggle-lamp");
    case RegionKind::Panel:
        return QStringLiteral("panel");
    }
    return {};
}

ColourRole regionColour(RegionKind kind)
{
    switch (kind) {
    case RegionKind::Reference:
        return ColourRole::Reference;
    case RegionKind::Goggle:
        return ColourRole::Goggle;
    case RegionKind::Panel:
        return ColourRole::Panel;
    }
    return ColourRole::Text;
}

std::optional<RectPx> regionOf(const RegionSet& set, RegionKind kind)
{
    switch (kind) {
    case RegionKind::Reference:
        return set.reference;
    case RegionKind::Goggle:
        return set.goggle;
    case RegionKind::Panel:
        return set.panel;
    }
    return std::nullopt;
}

RegionSet withRegion(RegionSet set, RegionKind kind, std::optional<RectPx> rect)
{
    if (kind == RegionKind::Panel) {
        set.panel = rect;
        set.panelCorners.reset();
    } else if (rect) {
        (kind == RegionKind::Reference ? set.reference : set.goggle) = *rect;
    }
    set.source = RegionSource::Given;
    return set;
}

RegionSet withPanelCorners(RegionSet set, const QuadPx& corners)
{
    setPanelCorners(set, corners);
    set.source = RegionSource::Given;
    return set;
}

RegionSet startingRegions(QSize picture)
{
    constexpr int share = 8; ///< of the picture's shorter side
    const int side
        = std::max(smallestRegionPx, std::min(picture.width(), picture.height()) / share);
    const auto at = [&](int centreX) {
        return RectPx {centreX - side / 2, (picture.height() - side) / 2, side, side};
    };
    return {
        at(picture.width() / 4), at(3 * picture.width() / 4), std::nullopt, RegionSource::Given};
}

} // namespace twinlamp::ui

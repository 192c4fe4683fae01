// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/region_kind.h"

#include <QCoreApplication>

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
    } else if (rect) {
        (kind == RegionKind::Reference ? set.reference : set.goggle) = *rect;
    }
    set.source = RegionSource::Given;
    return set;
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/picture.h"

namespace twinlamp::footage {

RectPx toStored(RectPx upright, const Orientation& orientation)
{
    const int width = orientation.storedWidthPx;
    const int height = orientation.storedHeightPx;
    switch (orientation.rotationDeg) {
    case 90: // upright x runs up the stored columns: x = height - 1 - storedY
        return {upright.y, height - upright.right(), upright.height, upright.width};
    case 180:
        return {width - upright.right(), height - upright.bottom(), upright.width, upright.height};
    case 270:
        return {width - upright.bottom(), upright.x, upright.height, upright.width};
    default:
        return upright;
    }
}

QuadPx toStored(const QuadPx& upright, const Orientation& orientation)
{
    const int width = orientation.storedWidthPx;
    const int height = orientation.storedHeightPx;
    QuadPx stored = upright;
    for (CornerPx& corner : stored.corners) {
        switch (orientation.rotationDeg) {
        case 90:
            corner = {corner.y, height - corner.x};
            break;
        case 180:
            corner = {width - corner.x, height - corner.y};
            break;
        case 270:
            corner = {width - corner.y, corner.x};
            break;
        default:
            break;
        }
    }
    return stored;
}

RectPx toUpright(RectPx stored, const Orientation& orientation)
{
    const int width = orientation.storedWidthPx;
    const int height = orientation.storedHeightPx;
    switch (orientation.rotationDeg) {
    case 90:
        return {height - stored.bottom(), stored.x, stored.height, stored.width};
    case 180:
        return {width - stored.right(), height - stored.bottom(), stored.width, stored.height};
    case 270:
        return {stored.y, width - stored.right(), stored.height, stored.width};
    default:
        return stored;
    }
}

} // namespace twinlamp::footage

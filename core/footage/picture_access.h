// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/av_handles.h"
#include "core/footage/picture.h"

#include <optional>

namespace twinlamp::footage {

/// Samples of `frame` in place, where its format is one that PictureView can describe; nothing
/// else. Untagged colour is taken from `fallback`, which the container may have told.
[[nodiscard]] std::optional<PictureView> viewInPlace(
    const AVFrame& frame, const ColourDescription& fallback);

/// Turns decoded frames into views, converting formats that have no view of their own (packed,
/// semi-planar, palette) without loss. Keeps its scaler between frames of one kind.
class PictureAccess
{
public:
    /// The view is valid until the next call, and no longer than `frame`. Nothing where libswscale
    /// knows no way.
    [[nodiscard]] std::optional<PictureView> view(
        const AVFrame& frame, const ColourDescription& fallback);

    /// The converted picture behind the last view, or null where it was in place.
    [[nodiscard]] FrameHandle takeConverted() { return std::move(m_converted); }

private:
    [[nodiscard]] bool convert(const AVFrame& frame);

    ScalerHandle m_scaler;
    FrameHandle m_converted;
    int m_sourceFormat = AV_PIX_FMT_NONE;
    int m_widthPx = 0;
    int m_heightPx = 0;
};

} // namespace twinlamp::footage

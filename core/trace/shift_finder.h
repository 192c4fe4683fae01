// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/picture.h"
#include "core/trace/shift_px.h"

#include <memory>
#include <optional>
#include <vector>

namespace twinlamp::trace {

/// A shift and how well it is known.
struct FoundShift
{
    ShiftPx shift;
    double standardErrorPx = 0.0; ///< of the worse direction
};

/// Tells how far pictures of a camera in the hand lie from one reference picture.
///
/// A reduced picture gives the shift to a pixel or two, up to a tenth of the picture's width;
/// patches of the full picture give it to hundredths of a pixel. Every picture stands alone, so
/// that the answer does not depend on which pictures were seen before. A turn of the camera about
/// its axis and a change of distance are second order and left out, and so is the motion within one
/// read-out. Immutable: find() may run on many threads. Tests:
/// tests/core/trace/shift_finder_test.cpp
class ShiftFinder
{
public:
    /// @param panel    the panel, whose picture moves and switches: not looked at, but for its
    ///                 outline where the rest of the picture has too little to hold on to
    /// @param lamps    lamps and their glow, not looked at
    ShiftFinder(const footage::PictureView& reference, const std::vector<RectPx>& lamps,
        std::optional<RectPx> panel);
    ~ShiftFinder();

    /// Nothing where the picture was not recognised.
    [[nodiscard]] std::optional<FoundShift> find(const footage::PictureView& picture) const;

private:
    struct Parts;
    std::unique_ptr<const Parts> m_parts;
};

} // namespace twinlamp::trace

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/av_handles.h"
#include "core/footage/frame_source.h"

namespace twinlamp::footage {

/// What a Frame shares: the decoder's own picture, kept alive by its reference.
struct Frame::Data
{
    FrameIndex number;
    PictureView view;
    FrameHandle samples;
    std::size_t bytes = 0;
};

} // namespace twinlamp::footage

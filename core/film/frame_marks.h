// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/frame_renderer.h"

#include <cstdint>

namespace twinlamp::film {

/// Paints a frame's number as a bar code into the stored top left corner: a bright and a dark cell,
/// then 24 bits, the highest first (negative numbers of hidden frames wrap around).
void paintFrameMark(std::int64_t frame, CodedPicture& picture);

} // namespace twinlamp::film

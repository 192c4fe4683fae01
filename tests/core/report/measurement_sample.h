// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"

namespace twinlamp::report::samples {

/// An invented clip: eight on and eight off edges with what a report has to cope with (a lost
/// answer, a press set aside, doubts, figures that could not be measured), and panel timing.
[[nodiscard]] ClipResult hangarClip();

/// The same clip as it is where nothing was found.
[[nodiscard]] ClipResult clipWithoutPresses();

} // namespace twinlamp::report::samples

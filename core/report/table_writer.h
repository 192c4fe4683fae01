// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/report/measurement_figures.h"

#include <string>

namespace twinlamp::report {

/// File, frames, capture rate and exposure in one line.
[[nodiscard]] std::string clipLine(const ClipFacts& clip);

/// What `twinlamp measure` prints: the answer first, then every press in aligned columns with the
/// digits that its uncertainty carries, then summaries, panel timing and notes. Plain text, lines
/// end in LF.
[[nodiscard]] std::string measurementTable(
    const ClipResult& result, const MeasurementFigures& figures);

} // namespace twinlamp::report

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/measure_options.h"
#include "core/measure/clip_analysis.h"
#include "core/measure/lamp_onsets.h"

#include <optional>

namespace twinlamp::measure {

/// The line time that a clip's figures rest on, and what is left of the doubt.
struct LineTimeFigure
{
    double lineTimeUs = 0.0; ///< to correct rows with; 0 where it could not be told from 0
    double standardUs = 0.0; ///< 0: given
    std::optional<double> degrees; ///< of standardUs, where it is estimated
    LineTimeSource source = LineTimeSource::Unknown;
};

/// As given, else from the rows within the reference lamp.
///
/// A line time that does not stand out from its own doubt corrects nothing, and is counted to the
/// doubt whole. Nothing that the lamp says makes the doubt larger than what any camera allows: rows
/// that take up to the whole frame, read from the top or from the bottom, all equally likely.
///
/// @param reference  the lamp's trace with its exposure known and its rows uncorrected
/// @param lamp       the onsets in it
/// A zero correction without a line time holds the skew already: then nothing is corrected or
/// doubted.
///
/// Source: JCGM 100:2008, 4.3.7 (rectangular) and F.2.4.5 (a correction that is not applied).
/// Tests:  tests/core/measure/line_time_test.cpp
[[nodiscard]] LineTimeFigure lineTimeFigure(const AnalysisInput& input,
    const MeasureOptions& options, const onset::TimedTrace& reference, const LampOnsets& lamp);

/// Rows between the middles of two regions of the stored picture.
[[nodiscard]] double rowsBetween(RectPx a, RectPx b);

} // namespace twinlamp::measure

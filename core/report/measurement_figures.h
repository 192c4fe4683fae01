// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/stats/summary.h"
#include "core/stats/summary_details.h"

#include <vector>

namespace twinlamp::report {

/// What a summary says beyond its figures.
struct SummaryMore
{
    stats::SummaryDetails details;
    stats::TimeFigures times;
    bool operator==(const SummaryMore&) const = default;
};

/// What is said about one measured clip beyond its presses.
struct MeasurementFigures
{
    stats::Summary on; ///< latency, on edges: the figure
    stats::Summary off; ///< beside it, never pooled with it
    stats::Summary fullFrame; ///< of the on edges
    SummaryMore onMore;
    SummaryMore offMore;
    SummaryMore fullFrameMore;
    /// The clip's own notes, then those that follow from the presses and summaries as they now are.
    std::vector<Sentence> notes;
    bool operator==(const MeasurementFigures&) const = default;
};

/// Summaries and notes of a clip. Notes that follow from the summaries: no link frame rate, or
/// what the link spread is told apart from; on and off differ by more than their doubt; answers
/// lost; presses set aside with the reasons; outliers by number; what late share the presses could
/// have missed; a drift, or neighbours that are alike, of the on edges at an error of 1 % each.
[[nodiscard]] MeasurementFigures measurementFigures(
    const ClipResult& result, const stats::SummaryOptions& options);

/// The answer in one sentence: median, its interval and n, or why there is none.
[[nodiscard]] Sentence answerSentence(const stats::Summary& summary);

} // namespace twinlamp::report

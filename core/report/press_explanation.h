// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/base/press.h"
#include "core/base/sentence.h"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace twinlamp::report {

/// One column of the film strip: the same frame of both lamps.
struct StripFrame
{
    std::int64_t frame = 0;
    double sinceOnsetMs = 0.0; ///< start of its exposure at the reference lamp's rows, real time
    bool referenceBegins = false; ///< the first frame in which the reference lamp changes
    bool goggleBegins = false; ///< the frame that holds first light
    bool operator==(const StripFrame&) const = default;
};

/// Light of one frame in one region.
struct ExplainedSample
{
    std::int64_t frame = 0;
    double sinceOnsetMs = 0.0; ///< middle of its exposure at the region's rows, real time
    double light = 0.0; ///< 0: the darker level, 1: the brighter one
    std::optional<double> model; ///< same unit; empty where nothing was fitted
    std::optional<double> residual; ///< light minus model, share of the step
    bool operator==(const ExplainedSample&) const = default;
};

/// One lamp's light around the press. Frames that could not be decoded are left out.
struct ExplainedTrace
{
    std::vector<ExplainedSample> samples;
    /// Root mean square of the residuals, share of the step; empty without a model.
    std::optional<double> residualDeviation;
    bool operator==(const ExplainedTrace&) const = default;
};

enum class PressMark : std::uint8_t
{
    Onset,
    FirstLight,
    HalfLight,
    Settled,
    FullFrame
};

struct ExplainedMark
{
    PressMark mark = PressMark::Onset;
    double sinceOnsetMs = 0.0;
    bool operator==(const ExplainedMark&) const = default;
};

/// One part of the uncertainty of the latency.
struct BudgetRow
{
    UncertaintySource source = UncertaintySource::ReferenceOnset;
    Sentence name; ///< the source in words
    Sentence how; ///< how the figure was got
    double standardMs = 0.0;
    std::optional<double> degreesOfFreedom; ///< empty: known as good as exactly
    bool commonToAll = false; ///< the same error in every press of the clip
    double varianceShare = 0.0; ///< 0 to 1; the shares add up to 1
    bool operator==(const BudgetRow&) const = default;
};

/// Parts by falling share, and what they add up to.
struct Budget
{
    std::vector<BudgetRow> rows;
    double combinedMs = 0.0; ///< standard uncertainty
    double coverageFactor = 0.0; ///< half width over combined
    double halfWidthMs = 0.0; ///< 95 %
    /// Welch and Satterthwaite; empty where every part is known.
    std::optional<double> degreesOfFreedom;
    bool operator==(const Budget&) const = default;
};

struct ExplainedFlag
{
    Flag flag = Flag::NoResponse;
    bool setsAside = false; ///< the press does not count because of it
    bool operator==(const ExplainedFlag&) const = default;
};

/// Everything that a reader needs to check one press, without its paint.
struct PressExplanation
{
    int number = 0; ///< from 1
    Edge edge = Edge::On;
    Sentence title;
    std::vector<StripFrame> strip; ///< by rising frame; a jump in the numbers is a gap
    RectPx referencePart; ///< of each frame of the strip, upright pixels: the lamp and some air
    RectPx gogglePart;
    ExplainedTrace reference;
    ExplainedTrace goggle;
    double firstMs = 0.0; ///< the stretch of time that the traces cover, since the onset
    double lastMs = 0.0;
    std::vector<ExplainedMark> marks; ///< by rising time
    std::optional<double> latencyMs;
    std::optional<Budget> budget; ///< wherever there is a latency
    bool accepted = true;
    std::vector<ExplainedFlag> flags;
    std::vector<Sentence> notes; ///< what else a reader must know: no model, no answer, by hand
    std::vector<Sentence> foot; ///< clip, capture rate, exposure, program
    bool operator==(const PressExplanation&) const = default;
};

/// What is explained, and what it rests on.
struct ExplainedPress
{
    const ClipFacts& clip;
    const RegionSet& regions;
    const ClipTraces& traces; ///< none: no samples and no strip, and a note that says so
    const Press& press; ///< as it counts
    std::string handReason; ///< why a hand set it aside; empty: no reason given, or not by hand
};

/// Puts together what one press shows.
///
/// The strip has the frames k - 2 to k + 3 around the onset's frame and around first light's, each
/// frame once; the frame that holds an instant is the one whose exposure, or the gap before it,
/// holds it. Residuals are shares of the region's own step.
/// Source: degrees of freedom by the Welch-Satterthwaite formula, JCGM 100:2008, G.4.1.
/// Tests:  tests/core/report/press_explanation_test.cpp
[[nodiscard]] PressExplanation explainPress(const ExplainedPress& explained);

/// Square around a lamp's region with air around it, inside the picture, even in place and size:
/// chroma is stored for pairs of pixels. Empty where the region or the picture is.
[[nodiscard]] RectPx lampPart(RectPx region, int pictureWidthPx, int pictureHeightPx);

/// Parts of the press by falling share, with their sum. @pre press.uncertainty
[[nodiscard]] Budget budgetOf(const Press& press, const ClipFacts& clip);

/// "reference lamp onset", "capture rate", … as a sentence.
[[nodiscard]] Sentence sourceName(UncertaintySource source);

} // namespace twinlamp::report

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

namespace twinlamp::accuracy {

/// Frames around one answer.
struct AnswerFrames
{
    std::vector<double> startMs; ///< exposures start
    std::vector<double> light; ///< shape as startMs
};

/// First light of one answer, as the likelihood has it.
struct LikelyFirstLight
{
    double ms = 0.0;
    double standardMs = 0.0; ///< from the curvature of the likelihood
};

struct LikelihoodFit
{
    double rampMs = 0.0;
    double tauMs = 0.0;
    std::vector<LikelyFirstLight> answers;
};

/// Maximum likelihood of answers that share a shape: light runs from one level to another along a
/// ramp (the sweep over an evenly lit region), smoothed by a one-pole response, each frame the mean
/// over its exposure, white noise of known size on top.
///
/// A second way to what core/onset does, and nothing of its code: the response is integrated step
/// by step in time, the levels come from the normal equations, the start from a dense grid and
/// golden section, ramp and response from a simplex search (J. A. Nelder and R. Mead 1965, from
/// memory). Slow on purpose.
[[nodiscard]] LikelihoodFit fitByLikelihood(
    const std::vector<AnswerFrames>& answers, double exposureMs, double noiseSd);

} // namespace twinlamp::accuracy

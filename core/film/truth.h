// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "core/film/scene.h"
#include "core/film/studio.h"

#include <filesystem>
#include <string>
#include <vector>

namespace twinlamp::film {

/// How an edge met the link camera.
struct Sampling
{
    double phase = 0.0; ///< where in its frame the edge fell at the lamp's row, 0 to 1
    /// Share of the step that the first link frame that saw the edge shows; empty without an
    /// answer.
    std::optional<double> firstStepShare;
};

/// What a measurement of the footage should find, from noise-free light and without looking at any
/// frame.
struct Truth
{
    ClipFacts clip; ///< without a hash
    RegionSet regions;
    std::vector<Press> presses; ///< without uncertainties
    std::vector<Sampling> sampling; ///< same shape as presses; empty with both lamps in direct view
    std::optional<PanelTiming> panelTiming;
    double linkFrameMs = 0.0; ///< link camera's frame interval by its own clock
    double zeroMs = 0.0; ///< difference between the lamps themselves; latencies are free of it
    double lineTimeUs = 0.0;
    double trueCaptureRateHz = 0.0; ///< by the camera's own clock; `clip` holds the label
    std::string sceneName;
    std::uint64_t seed = 0;
};

/// Times are those of the design's definitions: onset of the lamp's light, 10, 50 and 90 % of the
/// goggle region's step in mean linear light (light that the lamp causes: flicker of the room,
/// noise, shake and the motion of the base picture are left out), final level from 2 to 5 new-frame
/// intervals after the departure or up to the next one. Where the panel is strobed: the start of
/// the first pulse that differs by the share (3 camera frames a period or more), else the crossing
/// of the mean over one period around the instant. Sweep start and full frame are the first and the
/// last 10 % departure over the panel's rows, taken to the panel's edges.
[[nodiscard]] Truth truthOf(const Studio& studio);
/// The same for regions other than those that the scene proposes (upright).
[[nodiscard]] Truth truthOf(const Studio& studio, const RegionSet& regions);
[[nodiscard]] Truth truthOf(const Scene& scene);

/// The truth in the words of `twinlamp measure --json`.
[[nodiscard]] std::string truthJson(const Truth& truth);

/// Where the truth of a clip is kept: for a.mp4, a.mp4.truth.json.
[[nodiscard]] std::filesystem::path truthPath(const std::filesystem::path& clip);

} // namespace twinlamp::film

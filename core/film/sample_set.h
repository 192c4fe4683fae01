// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/job_control.h"
#include "core/base/result.h"
#include "core/base/units.h"
#include "core/film/scene.h"

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace twinlamp::film {

/// One configuration of an invented link. Empty text and empty values say nothing.
struct SampleSetting
{
    std::string name;
    std::string linkCamera;
    std::optional<FrameRate> linkFrameRate;
    std::optional<int> widthPx; ///< of the picture that the link sends
    std::optional<int> heightPx;
    std::optional<double> bitRateMbit; ///< per second
    std::optional<double> channelWidthMhz;
    std::optional<double> outputPowerMw;
    std::optional<double> distanceM;
    std::string interference;
    std::string goggle;
    std::optional<double> panelRateHz;
    std::string lampPlace;
    std::string notes;
};

/// One clip to be filmed.
struct SampleClip
{
    std::string file; ///< name in the samples' folder
    std::string scene; ///< scene file beside the manifest
    std::string changes; ///< JSON merge patch to the scene; empty for none
    std::string setting; ///< name of a setting; empty: a single clip that shows one hard case
    std::string run;
    std::string notes;
};

/// The invented campaign that the sample session shows.
struct SampleSet
{
    std::filesystem::path folder; ///< of the manifest and the scenes
    std::string name;
    std::string notes;
    std::string camera;
    std::optional<double> lateLimitMs;
    std::vector<SampleSetting> settings;
    std::vector<SampleClip> clips;
};

/// @error Film/InvalidValue  names the key; Film/NotFound, NoAccess
[[nodiscard]] Result<SampleSet> loadSampleSet(const std::filesystem::path& manifest);

/// Scene of one clip of the set. @error as loadScene
[[nodiscard]] Result<Scene> sampleScene(const SampleSet& set, const SampleClip& clip);

struct SampleReport
{
    std::int64_t clipsFilmed = 0;
    std::int64_t clipsThere = 0; ///< that had been filmed before
    std::int64_t framesFilmed = 0;
    double seconds = 0.0;
};

/// Whether every clip of the set lies in the folder with its truth.
[[nodiscard]] bool samplesComplete(const SampleSet& set, const std::filesystem::path& folder);

/// Films every clip that is missing in `folder` (created when absent), several at a time, the
/// longest first. Ticks with frames over all missing clips. When stopped, finished clips stay.
/// @param threads  0: one per core
/// @error Film/… of the first clip that failed; the others are stopped
[[nodiscard]] JobResult<SampleReport> makeSamples(const SampleSet& set,
    const std::filesystem::path& folder, int threads, const JobControl& control);

} // namespace twinlamp::film

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/commands/command.h"

#include <filesystem>
#include <string>

namespace twinlamp::commands {

/// What was typed after `twinlamp film`: a scene and the clip it becomes, or `--samples`.
struct FilmArguments
{
    std::filesystem::path scene;
    std::filesystem::path clip; ///< -o; its ending chooses the container
    std::filesystem::path samplesFolder; ///< --samples: make every sample clip that is missing here
    std::filesystem::path samplesList; ///< the samples' manifest, samples.json
    std::string jsonFile; ///< the truth, besides CLIP.truth.json; "-": standard output
    int threads = 0; ///< --samples: clips filmed at a time; 0: one per core
};

/// Films a scene into a clip, its truth beside it; or, where `samplesFolder` is given, every sample
/// clip that is missing there.
///
/// @return Done; WrongWords (an ending that is no container, or one that cannot hold the scene);
///         Unreadable (scene or list); NotWritten; Stopped. A stopped film leaves neither clip nor
///         truth; of the samples, finished clips stay.
ExitStatus runFilm(const FilmArguments& arguments, const CommandContext& context);

} // namespace twinlamp::commands

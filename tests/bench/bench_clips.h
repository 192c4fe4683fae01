// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>

namespace twinlamp::bench {

/// A clip that benchmarks run on: a moving picture with noise, made once and kept in the system's
/// folder for temporary files (twinlamp-bench).
struct BenchClip
{
    std::string fileName;
    std::string size; ///< "1920x1080"
    std::string rate; ///< frames a second
    int frames = 0; ///< made; `copies` of them follow each other
    int copies = 1;
    std::string coding; ///< options of the ffmpeg program
};

/// Path of the clip, made where it is not there yet. Ends the program where it cannot be made.
[[nodiscard]] std::filesystem::path madeClip(const BenchClip& clip);

/// The same clip, so many times after itself.
[[nodiscard]] BenchClip repeated(BenchClip clip, int copies);

[[nodiscard]] const BenchClip& h264Clip(); ///< 1080p, GOP 30, B-frames
[[nodiscard]] const BenchClip& hevcClip(); ///< 1080p, GOP 30
[[nodiscard]] const BenchClip& h264SmallClip(); ///< 720p, GOP 30
[[nodiscard]] const BenchClip& longGopClip(); ///< 1080p, GOP 250
[[nodiscard]] const BenchClip& deepClip(); ///< 1080p HEVC with 10 bits, GOP 30
[[nodiscard]] const BenchClip& jpegClip(); ///< 1080p, every frame a keyframe
[[nodiscard]] const BenchClip& longClip(); ///< 10 s of 1080p at 1000 frames a second

} // namespace twinlamp::bench

// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/bench/bench_clips.h"

#include <cstdio>
#include <cstdlib>

namespace twinlamp::bench {

namespace {

namespace fs = std::filesystem;

void run(const std::string& command)
{
    std::fprintf(stderr, "making a clip: %s\n", command.c_str());
    if (std::system(command.c_str()) != 0) { // NOLINT: a fixed command of this file
        std::fprintf(stderr, "the ffmpeg program failed\n");
        std::exit(1); // NOLINT: one thread, before any benchmark
    }
}

} // namespace

fs::path madeClip(const BenchClip& clip)
{
    const fs::path folder = fs::temp_directory_path() / "twinlamp-bench";
    fs::create_directories(folder);
    fs::path file = folder / clip.fileName;
    if (fs::exists(file)) {
        return file;
    }
    const fs::path part = folder / ("part-" + clip.fileName);
    const fs::path aside = folder / ("aside-" + clip.fileName);
    const std::string quiet = "ffmpeg -v error -nostdin -y ";
    run(quiet + "-f lavfi -i 'testsrc2=s=" + clip.size + ":r=" + clip.rate
        + ",noise=alls=12:allf=t' -frames:v " + std::to_string(clip.frames) + " " + clip.coding
        + " '" + part.string() + "'");
    if (clip.copies > 1) {
        run(quiet + "-stream_loop " + std::to_string(clip.copies - 1) + " -i '" + part.string()
            + "' -c copy '" + aside.string() + "'");
        fs::remove(part);
        fs::rename(aside, file);
    } else {
        fs::rename(part, file);
    }
    return file;
}

BenchClip repeated(BenchClip clip, int copies)
{
    clip.fileName = std::to_string(copies) + "x-" + clip.fileName;
    clip.copies *= copies;
    return clip;
}

const BenchClip& h264Clip()
{
    static const BenchClip clip {"h264-1080p-gop30.mp4", "1920x1080", "240", 300, 1,
        "-c:v libx264 -preset veryfast -b:v 77M -g 30 -bf 2 -pix_fmt yuv420p"};
    return clip;
}

const BenchClip& hevcClip()
{
    static const BenchClip clip {"hevc-1080p-gop30.mp4", "1920x1080", "240", 240, 1,
        "-c:v libx265 -preset ultrafast -x265-params "
        "log-level=error:keyint=30:min-keyint=30:bframes=2:bitrate=40000 -pix_fmt yuv420p"};
    return clip;
}

const BenchClip& h264SmallClip()
{
    static const BenchClip clip {"h264-720p-gop30.mp4", "1280x720", "1000", 600, 1,
        "-c:v libx264 -preset veryfast -b:v 160M -g 30 -bf 2 -pix_fmt yuv420p"};
    return clip;
}

const BenchClip& longGopClip()
{
    static const BenchClip clip {"h264-1080p-gop250.mp4", "1920x1080", "240", 500, 3,
        "-c:v libx264 -preset veryfast -b:v 77M -g 250 -bf 2 -pix_fmt yuv420p"};
    return clip;
}

const BenchClip& deepClip()
{
    static const BenchClip clip {"hevc-1080p-10bit.mp4", "1920x1080", "240", 240, 1,
        "-c:v libx265 -preset ultrafast -x265-params "
        "log-level=error:keyint=30:min-keyint=30:bframes=2:bitrate=40000 -pix_fmt yuv420p10le"};
    return clip;
}

const BenchClip& jpegClip()
{
    static const BenchClip clip {
        "mjpeg-1080p.mov", "1920x1080", "240", 200, 1, "-c:v mjpeg -q:v 5 -pix_fmt yuvj420p"};
    return clip;
}

const BenchClip& longClip()
{
    static const BenchClip clip {"h264-1080p-10s.mp4", "1920x1080", "1000", 500, 20,
        "-c:v libx264 -preset ultrafast -b:v 160M -g 50 -bf 0 -pix_fmt yuv420p"};
    return clip;
}

} // namespace twinlamp::bench

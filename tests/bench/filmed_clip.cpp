// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/bench/filmed_clip.h"

#include "core/film/film.h"
#include "core/film/studio.h"

#include <cstdio>
#include <cstdlib>
#include <string>

namespace twinlamp::bench {

namespace {

namespace fs = std::filesystem;

constexpr auto scene = R"({
  "seed": 5, "picture": {"width": 1920, "height": 1080}, "duration_ms": 10000,
  "lamps": {"programme": {"kind": "random", "presses": 5, "start_ms": 700,
    "hold_ms": [800, 1050], "gap_ms": [800, 1050]}},
  "reference_lamp": {"x": 420, "y": 525, "radius_px": 42, "soft_edge_px": 12, "brightness": 0.7},
  "room": {"brightness": 0.04, "texture_px": 72},
  "link_camera": {"frame_rate": 60, "exposure_ms": 4.0, "readout_ms": 8.0},
  "link": {"delay_ms": 21.0, "jitter": "normal", "jitter_ms": 0.5},
  "panel": {"rect": [900, 240, 900, 570], "brightness": 0.12, "texture_px": 48, "scan_ms": 8.0,
    "lamp_image": {"x": 0.5, "y": 0.5, "radius_px": 54, "soft_edge_px": 12, "brightness": 0.5}},
  "camera": {"capture_rate": 240, "exposure_ms": 3.2},
  "file": {"gop": 30, "preset": "veryfast", "bit_rate_kbit": 77000}
})";

[[noreturn]] void fail(const std::string& what)
{
    std::fprintf(stderr, "%s\n", what.c_str());
    std::exit(1); // NOLINT: one thread, before any benchmark
}

} // namespace

FilmedClip minuteOfPresses()
{
    const auto parsed = film::parseScene(scene, "minute.json");
    if (!parsed) {
        fail(parsed.error().detail);
    }
    const fs::path folder = fs::temp_directory_path() / "twinlamp-bench";
    fs::create_directories(folder);
    FilmedClip clip {folder / "presses-1080p-240.mp4", film::Studio(*parsed).regions(),
        parsed->camera.captureRate};
    if (fs::exists(clip.file)) {
        return clip;
    }
    const fs::path part = folder / "presses-part.mp4";
    const fs::path aside = folder / "presses-aside.mp4";
    std::fprintf(stderr, "filming ten seconds, which takes a minute or more\n");
    if (!film::filmScene(*parsed, part, {}).hasValue()) {
        fail("the film could not be made");
    }
    const std::string copy = "ffmpeg -v error -nostdin -y -stream_loop 5 -i '" + part.string()
        + "' -c copy '" + aside.string() + "'";
    if (std::system(copy.c_str()) != 0) { // NOLINT: a fixed command of this file
        fail("the ffmpeg program failed");
    }
    fs::remove(part);
    fs::remove(folder / "presses-part.mp4.truth.json");
    fs::rename(aside, clip.file);
    return clip;
}

} // namespace twinlamp::bench

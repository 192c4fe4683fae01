// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/film.h"
#include "core/film/studio.h"
#include "core/measure/clip_measurement.h"
#include "tests/support/temporary_folder.h"

#include <gtest/gtest.h>
#include <ostream>
#include <spdlog/fmt/fmt.h>
#include <string>

/// Small filmed clips of random presses, for sparse and full scans of the same footage.
namespace twinlamp::measure {

struct Filming
{
    std::string name;
    int captureRateHz = 240;
    int gop = 30;
    double shortestHoldMs = 400.0;
    std::string changes; ///< of the scene, JSON
};

inline void PrintTo(const Filming& filming, std::ostream* out) { *out << filming.name; }

inline film::Scene sceneOf(const Filming& filming, int seed)
{
    const auto parsed
        = film::parseScene(fmt::format(R"({{"seed": {}, "picture": {{"width": 256, "height": 144}},
        "lamps": {{"programme": {{"kind": "random", "presses": 4, "start_ms": 330,
          "hold_ms": [{}, {}], "gap_ms": [{}, {}]}}}},
        "reference_lamp": {{"x": 52, "y": 70, "radius_px": 10, "soft_edge_px": 3,
          "brightness": 0.6}},
        "panel": {{"rect": [110, 20, 130, 100], "lamp_image": {{"radius_px": 11}}}},
        "camera": {{"capture_rate": {}, "exposure_ms": {}}},
        "file": {{"gop": {}, "quality": 16}}}})",
                               seed, 1.02 * filming.shortestHoldMs, 1.7 * filming.shortestHoldMs,
                               1.02 * filming.shortestHoldMs, 2.5 * filming.shortestHoldMs,
                               filming.captureRateHz, 700.0 / filming.captureRateHz, filming.gop),
            "test.json");
    EXPECT_TRUE(parsed.has_value()) << (parsed ? "" : parsed.error().detail);
    return parsed.value_or(film::Scene {});
}

class FilmedClip
{
public:
    explicit FilmedClip(const film::Scene& scene)
        : m_studio(scene)
        , m_rate(scene.camera.captureRate)
    {
        EXPECT_TRUE(film::filmScene(scene, path(), {}).hasValue());
    }

    [[nodiscard]] std::filesystem::path path() const { return m_folder / "clip.mp4"; }

    [[nodiscard]] Measurement measured(ScanMode mode, double shortestHoldMs, int threads = 1,
        const std::shared_ptr<const ScanMemory>& previous = nullptr) const
    {
        MeasureOptions options = this->options();
        options.scan = mode;
        options.shortestHoldMs = shortestHoldMs;
        options.threads = threads;
        return measuredWith(options, previous);
    }

    /// The regions of the scene and its rate.
    [[nodiscard]] MeasureOptions options() const
    {
        MeasureOptions options;
        options.captureRate = m_rate;
        options.reference = m_studio.regions().reference;
        options.goggle = m_studio.regions().goggle;
        options.panel = m_studio.regions().panel;
        return options;
    }

    [[nodiscard]] Measurement measuredWith(const MeasureOptions& options,
        const std::shared_ptr<const ScanMemory>& previous = nullptr) const
    {
        auto measurement = measureClip(path(), options, {}, {}, previous);
        EXPECT_TRUE(measurement.hasValue())
            << (measurement.isError() ? measurement.error().detail : "");
        return measurement.hasValue() ? std::move(measurement).value() : Measurement {};
    }

private:
    tests::TemporaryFolder m_folder;
    film::Studio m_studio;
    FrameRate m_rate;
};

} // namespace twinlamp::measure

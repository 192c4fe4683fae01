// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/row_exposure.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::measure {

namespace {

/// A lamp of a few rows in a rolling shutter, in frames of 4 ms; on and off at moments of no
/// rhythm.
struct RolledLamp
{
    double exposureMs = 3.4;
    double lineTimeMs = 0.02;
    double noise = 0.006; ///< of a line, share of the step
    int lines = 8;
    double rowsALine = 3.0;
    unsigned seed = 1;

    static constexpr double frameMs = 4.0;
    static constexpr std::size_t frames = 1600;

    std::vector<double> startMs {};
    std::vector<float> mean {};
    std::vector<LampLine> rows {};
    std::vector<LampOnset> onsets {};

    void film()
    {
        std::mt19937 random(seed);
        std::uniform_real_distribution<double> hold(200.0, 280.0);
        std::normal_distribution<double> normal(0.0, noise);
        std::vector<double> edges;
        constexpr int switchings = 24;
        double at = 150.0;
        for (int i = 0; i < switchings; ++i) {
            edges.push_back(at);
            at += hold(random);
        }
        for (std::size_t k = 0; k < frames; ++k) {
            startMs.push_back(frameMs * static_cast<double>(k));
        }
        mean.assign(frames, 0.0F);
        for (int line = 0; line < lines; ++line) {
            LampLine& row = rows.emplace_back();
            row.row = 100.0 + line * rowsALine;
            for (std::size_t k = 0; k < frames; ++k) {
                const double lit = litShare(edges, startMs[k] + lineTimeMs * row.row);
                row.light.push_back(static_cast<float>(0.05 + 0.5 * (lit + normal(random))));
                mean[k] += row.light.back() / static_cast<float>(lines);
            }
        }
        for (const auto& edge : onset::findEdges(mean, 3).edges) {
            onsets.push_back({edge, std::nullopt, false});
        }
    }

    /// Share of an exposure in which the lamp is lit.
    [[nodiscard]] double litShare(const std::vector<double>& edges, double start) const
    {
        double lit = 0.0;
        for (std::size_t i = 0; i + 1 < edges.size(); i += 2) {
            const double from = std::max(start, edges[i]);
            const double to = std::min(start + exposureMs, edges[i + 1]);
            lit += std::max(0.0, to - from);
        }
        return lit / exposureMs;
    }

    [[nodiscard]] onset::ExposureEstimate estimate(const onset::ExposureEstimate& first) const
    {
        rig::CameraTiming camera;
        camera.frameIntervalMs = frameMs;
        camera.exposureMs = first.exposureMs;
        camera.lineTimeMs = lineTimeMs;
        return exposureFromRows({mean, startMs, camera, {}}, rows, onsets, first);
    }
};

const onset::ExposureEstimate wide {3.1, 0.5, 24};

TEST(ExposureFromRows, IsToldWithinItsDoubt)
{
    int outside = 0;
    constexpr unsigned clips = 60;
    for (unsigned seed = 1; seed <= clips; ++seed) {
        RolledLamp lamp {.seed = seed};
        lamp.film();
        const auto estimate = lamp.estimate(wide);
        EXPECT_LT(estimate.standardMs, 0.5 * wide.standardMs) << seed;
        outside += std::abs(estimate.exposureMs - lamp.exposureMs) > 2.0 * estimate.standardMs;
    }
    // One in 20 is expected; 9 of 60 or more happen by chance in one of 500 (binomial).
    EXPECT_LT(outside, 9);
}

TEST(ExposureFromRows, OfAShutterThatReadsFromTheBottom)
{
    RolledLamp lamp {.exposureMs = 2.6, .lineTimeMs = -0.02, .seed = 70};
    lamp.film();
    const auto estimate = lamp.estimate(wide);
    EXPECT_NEAR(estimate.exposureMs, 2.6, 3.0 * estimate.standardMs);
}

TEST(ExposureFromRows, RowsThatSayNothingLeaveTheFirstEstimate)
{
    RolledLamp atOnce {.lineTimeMs = 0.0};
    atOnce.film();
    EXPECT_EQ(atOnce.estimate(wide).exposureMs, wide.exposureMs);
    RolledLamp narrow {.lines = 2};
    narrow.film();
    EXPECT_EQ(narrow.estimate(wide).standardMs, wide.standardMs);
}

TEST(ExposureFromRows, ClippedSwitchingsAreNotAsked)
{
    RolledLamp lamp;
    lamp.film();
    for (LampOnset& onset : lamp.onsets) {
        onset.clipped = true;
    }
    EXPECT_EQ(lamp.estimate(wide).exposureMs, wide.exposureMs);
}

} // namespace

} // namespace twinlamp::measure

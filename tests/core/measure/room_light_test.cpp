// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/mains.h"
#include "core/measure/room_light.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <numbers>
#include <random>
#include <vector>

namespace twinlamp::measure {

namespace {

constexpr double lineTimeMs = 0.012;

/// Traces of a bench in a room whose light varies; regions of a picture of 640 x 360.
struct Bench
{
    double rateHz = 1000.0;
    double flickerHz = 0.0; ///< of the light, its depth 0.4
    double drift = 0.0; ///< depth of a slow wave
    double spill = 0.0; ///< of the reference lamp over a third of the picture
    double unnamedPanel = 0.0; ///< step of a panel that no region names, at the goggle's answers
    double latencyMs = 27.0;
    double gain = 0.0; ///< slow wave of the camera's own gain
    double noise = 0.001;
    bool rollingShutter = false;

    std::vector<double> startMs;
    std::vector<float> clean; ///< the reference lamp in steady light
    std::vector<float> cleanGoggle;
    RegionRequest regions;
    RegionLight light;

    [[nodiscard]] double room(double ms) const
    {
        const double wave = 2.0 * std::numbers::pi * flickerHz * 1e-3 * ms + 0.8;
        const double flicker
            = flickerHz > 0.0 ? 0.4 * std::sin(wave) + 0.05 * std::sin(2.0 * wave + 1.0) : 0.0;
        return 1.0 + flicker + drift * std::sin(2.0 * std::numbers::pi * ms / 700.0);
    }

    static double lamp(double ms, double delayMs)
    {
        const double phase = std::fmod(std::max(0.0, ms - delayMs - 150.0), 403.0);
        return ms - delayMs > 150.0 && phase < 190.0 ? 1.0 : 0.0;
    }

    void film(unsigned seed)
    {
        regions.reference = RectPx {40, 150, 40, 40};
        regions.goggle = RectPx {400, 200, 40, 40};
        const RectPx panel {300, 60, 300, 240};
        if (unnamedPanel == 0.0) {
            regions.panel = panel;
        }
        regions.panelColumns = 2;
        regions.panelRows = 2;
        std::mt19937 random(seed);
        std::normal_distribution<double> normal(0.0, noise);
        const auto row = [&](double y) { return rollingShutter ? lineTimeMs * y : 0.0; };
        const int frames = static_cast<int>(2.6 * rateHz);
        for (int k = 0; k < frames; ++k) {
            const double ms = 1e3 * k / rateHz;
            startMs.push_back(ms);
            const double g = 1.0 + gain * std::sin(2.0 * std::numbers::pi * ms / 900.0);
            const double steady = 0.6 * lamp(ms, 0.0) + 0.05;
            clean.push_back(static_cast<float>(steady));
            const auto add = [&](std::vector<float>& trace, double value) {
                trace.push_back(static_cast<float>(g * value + normal(random)));
            };
            add(light.reference, steady + 0.05 * (room(ms + row(170.0)) - 1.0));
            const double shown = 0.3 * lamp(ms, latencyMs) + 0.02;
            cleanGoggle.push_back(static_cast<float>(shown));
            add(light.goggle, shown + (unnamedPanel > 0.0 ? 0.05 * (room(ms) - 1.0) : 0.0));
            for (int cell = 0; cell < 4; ++cell) {
                add(light.panelCells, 0.1 * lamp(ms, latencyMs) + 0.05);
            }
            for (int cell = 0; cell < regions.roomColumns * regions.roomRows; ++cell) {
                const int down = cell / regions.roomColumns;
                const double y = (down + 0.5) * 30.0;
                const bool isLitUp = cell % regions.roomColumns < 5;
                const double x = (cell % regions.roomColumns + 0.5) * 640.0 / regions.roomColumns;
                const bool isPanel
                    = x > panel.x && x < panel.right() && y > panel.y && y < panel.bottom();
                add(light.roomCells,
                    0.08 * room(ms + row(y)) + (isLitUp ? spill * lamp(ms, 0.0) : 0.0)
                        + (isPanel ? unnamedPanel * lamp(ms, latencyMs - 3.0) : 0.0));
            }
        }
    }

    std::vector<Sentence> remove()
    {
        return removeRoomLight(
            {startMs, {0, 0, 640, 360}, regions.roomColumns, regions.roomRows}, regions, light);
    }

    /// Rms of a trace about what it is in steady light, a common level left out.
    static double errorOf(const std::vector<float>& trace, const std::vector<float>& clean)
    {
        double sum = 0.0;
        double squares = 0.0;
        for (std::size_t k = 0; k < clean.size(); ++k) {
            const auto e = static_cast<double>(trace[k] - clean[k]);
            sum += e;
            squares += e * e;
        }
        const auto n = static_cast<double>(clean.size());
        return std::sqrt(squares / n - sum * sum / (n * n));
    }

    [[nodiscard]] double error() const { return errorOf(light.reference, clean); }
};

Bench flickering(double rateHz, double hz, bool rolling)
{
    Bench bench;
    bench.rateHz = rateHz;
    bench.flickerHz = hz;
    bench.rollingShutter = rolling;
    bench.film(static_cast<unsigned>(rateHz + hz));
    return bench;
}

TEST(RoomLight, FlickerIsRemovedToBelowTheNoise)
{
    for (const double rate : {1000.0, 480.0, 240.0}) {
        for (const double hz : {100.0, 120.0}) {
            for (const bool rolling : {false, true}) {
                Bench bench = flickering(rate, hz, rolling);
                ASSERT_GT(bench.error(), 10.0 * bench.noise);
                const auto notes = bench.remove();
                ASSERT_EQ(notes.size(), 1U) << rate << ' ' << hz << ' ' << rolling;
                EXPECT_EQ(notes[0].id, "mains-removed") << rate << ' ' << hz;
                EXPECT_EQ(notes[0].values.at(0), hz == 100.0 ? "100" : "120");
                EXPECT_EQ(notes[0].values.at(1), "reference lamp");
                // The noise itself stays; what is left of the flicker adds less than it.
                EXPECT_LT(bench.error(), std::sqrt(2.0) * bench.noise)
                    << rate << ' ' << hz << ' ' << rolling;
            }
        }
    }
}

TEST(RoomLight, DriftIsRemovedAndTheLampsStepIsKept)
{
    Bench bench;
    bench.drift = 0.35;
    bench.film(5);
    const auto notes = bench.remove();
    ASSERT_EQ(notes.size(), 1U);
    EXPECT_EQ(notes[0].id, "room-light-removed");
    EXPECT_LT(bench.error(), 1.5 * bench.noise);
}

TEST(RoomLight, LampThatShinesOnTheRoomDoesNotEatItsOwnStep)
{
    Bench bench;
    bench.flickerHz = 100.0;
    bench.spill = 0.03;
    bench.film(6);
    ASSERT_EQ(bench.remove().size(), 1U);
    // A fifth of the spill left in would be 1 % of the step: 0.004 rms.
    EXPECT_LT(bench.error(), 1.5 * bench.noise);
}

// The panel's cells step with the goggle, later than the lamp and by less than the room drifts.
TEST(RoomLight, PanelThatNobodyNamedIsNoPartOfTheRoom)
{
    Bench bench;
    bench.drift = 0.2;
    bench.unnamedPanel = 0.012;
    bench.latencyMs = 70.0;
    bench.film(9);
    ASSERT_EQ(bench.remove().size(), 1U);
    EXPECT_LT(Bench::errorOf(bench.light.goggle, bench.cleanGoggle), 1.5 * bench.noise);
}

TEST(RoomLight, SteadyLightLeavesEveryTraceAsItWas)
{
    for (unsigned seed = 1; seed <= 20; ++seed) {
        Bench bench;
        bench.film(seed);
        const RegionLight before = bench.light;
        EXPECT_TRUE(bench.remove().empty());
        EXPECT_EQ(bench.light.reference, before.reference);
        EXPECT_EQ(bench.light.goggle, before.goggle);
        EXPECT_EQ(bench.light.panelCells, before.panelCells);
    }
}

TEST(RoomLight, GainOfTheCameraIsNotTakenForLightThatIsAdded)
{
    Bench bench;
    bench.gain = 0.1;
    bench.film(7);
    const RegionLight before = bench.light;
    (void)bench.remove();
    EXPECT_EQ(bench.light.reference, before.reference);
}

TEST(MainsFlicker, IsToldFromOtherWaves)
{
    const auto flickerOf = [](double hz) {
        std::vector<double> ms;
        std::vector<double> light;
        for (int k = 0; k < 3000; ++k) {
            ms.push_back(k);
            light.push_back(1.0 + 0.2 * std::sin(2.0 * std::numbers::pi * hz * 1e-3 * k + 0.7));
        }
        return mainsFlickerHz(ms, light);
    };
    EXPECT_EQ(flickerOf(100.0), 100.0);
    EXPECT_EQ(flickerOf(99.6), 100.0);
    EXPECT_EQ(flickerOf(120.3), 120.0);
    EXPECT_FALSE(flickerOf(110.0));
    EXPECT_FALSE(flickerOf(87.0));
    EXPECT_FALSE(flickerOf(1.0));
}

} // namespace

} // namespace twinlamp::measure

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/panel/sweep_span.h"

#include <algorithm>
#include <gtest/gtest.h>

namespace twinlamp::panel {

namespace {

constexpr int bandCount = 12;
constexpr double scanMs = 9.0;
constexpr double newFrameMs = 16.0;

/// A press as the panel shows it: row q along the sweep is lit by p(q) = clamp(p0 + slope q, 0, 1)
/// in the first picture.
struct Lit
{
    double p0 = 1.0;
    double slope = 0.0;

    [[nodiscard]] double at(double q) const { return std::clamp(p0 + slope * q, 0.0, 1.0); }
};

struct Material
{
    PressBands bands;
    PressSweep press;
    SweepFit fit;
};

Material show(Lit lit, bool forward)
{
    Material m;
    m.fit.scanMs = scanMs;
    m.fit.forward = forward;
    m.press.startMs = 100.0;
    bool allDark = true;
    for (int b = 0; b < bandCount; ++b) {
        BandStart band;
        band.low = static_cast<double>(b) / bandCount;
        band.high = static_cast<double>(b + 1) / bandCount;
        const double centre = alongSweep(band, forward) + 0.5 / bandCount;
        const double share = lit.at(centre);
        const bool second = share < 0.1;
        allDark = allDark && second;
        // A band that is dark in the first picture makes its whole step in one with the second.
        band.firstShare = share <= 0.0 ? 1.0 : share;
        band.startMs = 100.0 + scanMs * alongSweep(band, forward) + (second ? newFrameMs : 0.0);
        m.bands.push_back(band);
        m.press.second.push_back(second);
    }
    if (allDark) {
        // fitSweep knows one sweep then.
        m.press.startMs += newFrameMs;
        m.press.second.assign(bandCount, false);
    }
    return m;
}

/// The definition itself, over many rows.
SweepSpan truth(Lit lit)
{
    SweepSpan span {1e9, -1e9};
    constexpr int rows = 2000;
    for (int r = 0; r < rows; ++r) {
        const double q = (r + 0.5) / rows;
        const double time = 100.0 + scanMs * q + (lit.at(q) < 0.1 ? newFrameMs : 0.0);
        span.firstMs = std::min(span.firstMs, time);
        span.lastMs = std::max(span.lastMs, time);
    }
    return span;
}

struct Case
{
    Lit lit;
    bool forward;
};

class EveryMeeting : public ::testing::TestWithParam<Case>
{
};

TEST_P(EveryMeeting, FollowsTheDefinition)
{
    const Case c = GetParam();
    const Material m = show(c.lit, c.forward);
    const SweepSpan span = sweepSpan(m.bands, m.press, m.fit, SecondRows::Unknown, newFrameMs);
    const SweepSpan expected = truth(c.lit);
    EXPECT_NEAR(span.firstMs, expected.firstMs, 0.1);
    EXPECT_NEAR(span.lastMs, expected.lastMs, 0.1);
}

INSTANTIATE_TEST_SUITE_P(LinkAndPanel, EveryMeeting,
    ::testing::Values(Case {{1.0, 0.0}, true}, // one sweep
        Case {{0.3, 0.0}, true}, // all rows partly lit
        Case {{-0.5, 1.5}, true}, // the same way: rows dark first
        Case {{-0.5, 1.5}, false}, //
        Case {{0.05, 0.8}, true}, // a few rows dark at the start
        Case {{1.2, -1.5}, true}, // against each other: rows dark last
        Case {{1.2, -1.5}, false}, //
        Case {{0.9, -0.85}, true}, // a few rows dark at the end
        Case {{0.15, 0.7}, false}, // none dark
        Case {{0.12, -0.6}, true}, // all bands dark, but a few rows at the start lit
        Case {{-0.41, 0.53}, true})); // all bands dark, but a few rows at the end lit

TEST(SweepSpan, IsOneSweepWithoutANewFrameInterval)
{
    const Material m = show({1.0, 0.0}, true);
    const SweepSpan span = sweepSpan(m.bands, m.press, m.fit, SecondRows::First, std::nullopt);
    EXPECT_EQ(span.firstMs, 100.0);
    EXPECT_EQ(span.lastMs, 109.0);
}

TEST(SecondRows, AreThoseOfMostPresses)
{
    for (const bool forward : {true, false}) {
        std::vector<PressBands> presses;
        SweepFit fit;
        for (const Lit lit : {Lit {1.2, -1.5}, Lit {0.9, -0.5}, Lit {1.0, 0.0}, Lit {0.05, 0.8}}) {
            Material m = show(lit, forward);
            presses.push_back(m.bands);
            fit = {scanMs, forward, 0.0, std::move(fit.presses)};
            fit.presses.emplace_back(m.press);
        }
        EXPECT_EQ(secondRows(presses, fit), SecondRows::Last);
        // The odd one out counts as one sweep.
        const SweepSpan span
            = sweepSpan(presses[3], *fit.presses[3], fit, SecondRows::Last, newFrameMs);
        EXPECT_EQ(span.lastMs - span.firstMs, scanMs);
    }
}

} // namespace

} // namespace twinlamp::panel

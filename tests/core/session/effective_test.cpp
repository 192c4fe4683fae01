// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/effective.h"
#include "tests/core/session/session_samples.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>

namespace twinlamp::session {
namespace {

Clip clipOf(std::vector<Press> presses, std::vector<PressCorrection> corrections)
{
    ClipMeasurement measurement;
    measurement.clip.captureRate = {1000, 1};
    measurement.clip.frames = 4000;
    measurement.options.zeroMs = 0.25;
    measurement.presses = std::move(presses);
    Clip clip;
    clip.id = newId<ClipId>();
    clip.measurement = SharedValue<ClipMeasurement>(std::move(measurement));
    clip.corrections = std::move(corrections);
    return clip;
}

Press only(const Clip& clip) { return countedPresses(clip).at(0); }

TEST(EffectivePresses, WithoutCorrectionsAreTheMeasuredOnes)
{
    const std::vector<Press> presses {samples::press(0, 100.0, 25.0), samples::press(1, 300.0, {})};
    const Clip clip = clipOf(presses, {});
    EXPECT_EQ(countedPresses(clip), presses);
    EXPECT_TRUE(effectivePresses(Clip {}).empty());
}

TEST(EffectivePresses, MovedFirstLightMovesTheLatencyByAsMuch)
{
    // The measured latency has corrections inside: it is not the plain difference of the marks.
    Press measured = samples::press(0, 100.0, 25.0);
    measured.latency = latencyFromMs(24.6);
    const Clip clip
        = clipOf({measured}, {{0, {{Mark::FirstLight, realTimeFromMs(127.0)}}, std::nullopt}});
    const EffectivePress effective = effectivePresses(clip).at(0);
    EXPECT_EQ(effective.press.firstLight, realTimeFromMs(127.0));
    EXPECT_EQ(effective.press.latency, latencyFromMs(26.6));
    EXPECT_EQ(effective.press.fullFrameLatency, measured.fullFrameLatency);
    EXPECT_TRUE(effective.markMoved);
    EXPECT_TRUE(hasFlag(effective.press.flags, Flag::CorrectedByHand));
    EXPECT_EQ(effective.measured, measured) << "measured values stay beside";
}

TEST(EffectivePresses, MovedOnsetMovesBothLatencies)
{
    const Press measured = samples::press(0, 100.0, 25.0);
    const Press press
        = only(clipOf({measured}, {{0, {{Mark::Onset, realTimeFromMs(101.5)}}, std::nullopt}}));
    EXPECT_EQ(press.latency, latencyFromMs(23.5));
    EXPECT_EQ(press.fullFrameLatency, *measured.fullFrameLatency - latencyFromMs(1.5));
}

TEST(EffectivePresses, MovedFullFrameMovesOnlyItsLatency)
{
    const Press measured = samples::press(0, 100.0, 25.0);
    const Press press
        = only(clipOf({measured}, {{0, {{Mark::FullFrame, realTimeFromMs(135.0)}}, std::nullopt}}));
    EXPECT_EQ(press.latency, measured.latency);
    EXPECT_EQ(press.uncertainty, measured.uncertainty);
    EXPECT_EQ(press.fullFrameLatency, latencyFromMs(35.0));
}

TEST(EffectivePresses, PlacedFirstLightAnswersALostPress)
{
    const Press press = only(clipOf({samples::press(0, 100.0, {})},
        {{0, {{Mark::FirstLight, realTimeFromMs(131.0)}}, std::nullopt}}));
    EXPECT_EQ(press.latency, latencyFromMs(30.75)) << "less the zero correction of 0.25 ms";
    EXPECT_FALSE(hasFlag(press.flags, Flag::NoResponse));
    EXPECT_TRUE(hasFlag(press.flags, Flag::ExposureUnknown)) << "other doubts stay";
}

TEST(EffectivePresses, HandPartIsAFrameWideUniform)
{
    // Closed form: parts 0.0213, 0.0311, 1e-4/3 and 1 ms / sqrt(12); 95 % half width of a normal.
    const Press press = only(clipOf({samples::press(0, 100.0, 25.0)},
        {{0, {{Mark::FirstLight, realTimeFromMs(126.0)}}, std::nullopt}}));
    EXPECT_EQ(press.parts.back(),
        (UncertaintyPart {UncertaintySource::HandCorrection, 1.0 / std::sqrt(12.0), false}));
    const double variance = 0.0213 * 0.0213 + 0.0311 * 0.0311 + 1e-8 / 9.0 + 1.0 / 12.0;
    EXPECT_NEAR(toMs(*press.uncertainty), 1.959963984540054 * std::sqrt(variance), 1e-6);
}

TEST(EffectivePresses, BothEndsMovedAreTwoParts)
{
    const Press press = only(clipOf({samples::press(0, 100.0, 25.0)},
        {{0, {{Mark::Onset, realTimeFromMs(99.0)}, {Mark::FirstLight, realTimeFromMs(126.0)}},
            std::nullopt}}));
    EXPECT_EQ(press.latency, latencyFromMs(27.0));
    EXPECT_EQ(std::ranges::count(
                  press.parts, UncertaintySource::HandCorrection, &UncertaintyPart::source),
        2);
}

TEST(EffectivePresses, ChoiceByHandDecides)
{
    Press aside = samples::press(1, 300.0, 25.0);
    aside.accepted = false;
    const Clip clip = clipOf({samples::press(0, 100.0, 25.0), aside},
        {{0, {}, HandChoice {false, "hand in the picture"}}, {1, {}, HandChoice {true, ""}}});
    const auto effective = effectivePresses(clip);
    EXPECT_FALSE(effective[0].press.accepted);
    EXPECT_EQ(effective[0].choice->reason, "hand in the picture");
    EXPECT_FALSE(hasFlag(effective[0].press.flags, Flag::CorrectedByHand))
        << "no mark of it was moved";
    EXPECT_TRUE(effective[1].press.accepted);
    EXPECT_FALSE(effective[1].measured.accepted);
}

TEST(EffectiveResult, KeepsAllButTraces)
{
    samples::Random random(3);
    ClipResult measured = samples::clipResult(random, 6, 32);
    ClipMeasurement measurement;
    measurement.clip = measured.clip;
    measurement.regions = measured.regions;
    measurement.presses = measured.presses;
    measurement.panelTiming = measured.panelTiming;
    measurement.notes = measured.notes;
    Clip clip;
    clip.measurement = SharedValue<ClipMeasurement>(measurement);
    const ClipResult result = effectiveResult(clip);
    EXPECT_EQ(result.clip, measured.clip);
    EXPECT_EQ(result.regions, measured.regions);
    EXPECT_EQ(result.presses, measured.presses);
    EXPECT_EQ(result.panelTiming, measured.panelTiming);
    EXPECT_EQ(result.notes, measured.notes);
    EXPECT_EQ(result.traces.frameCount(), 0U);
}

} // namespace
} // namespace twinlamp::session

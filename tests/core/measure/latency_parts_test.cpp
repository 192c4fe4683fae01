// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/latency_parts.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <optional>

namespace twinlamp::measure {

namespace {

std::optional<UncertaintyPart> partOf(
    const std::vector<UncertaintyPart>& parts, UncertaintySource source)
{
    const auto found = std::ranges::find(parts, source, &UncertaintyPart::source);
    return found == parts.end() ? std::nullopt : std::optional(*found);
}

LatencyDoubts doubts()
{
    LatencyDoubts d;
    d.latencyMs = 40.0;
    d.frameIntervalMs = 1.0;
    d.referenceMs = 0.02;
    d.firstLightMs = 0.006;
    d.firstLightDegrees = 30.0;
    return d;
}

TEST(LatencyParts, StandEachForItself)
{
    const auto parts = latencyParts(doubts(), {});
    EXPECT_EQ(partOf(parts, UncertaintySource::ReferenceOnset)->standardMs, 0.02);
    // sqrt(0.006^2 + 0.008^2) = 0.01.
    EXPECT_NEAR(partOf(parts, UncertaintySource::FirstLight)->standardMs, 0.01, 1e-12);
    EXPECT_EQ(partOf(parts, UncertaintySource::FirstLight)->degreesOfFreedom, 30.0);
    EXPECT_FALSE(partOf(parts, UncertaintySource::Exposure));
    EXPECT_FALSE(partOf(parts, UncertaintySource::LineTime));
    EXPECT_FALSE(partOf(parts, UncertaintySource::ZeroCorrection));
    // JCGM 100:2008, 4.3.7: a rectangle of half width 1e-4 has 1e-4 / sqrt(3).
    EXPECT_NEAR(
        partOf(parts, UncertaintySource::CaptureRate)->standardMs, 40.0 * 5.773503e-5, 1e-9);
}

TEST(LatencyParts, OnesThatAllPressesShareAreSaidToBe)
{
    LatencyDoubts d = doubts();
    d.exposureMs = -0.03;
    d.lineTimeMs = 0.05;
    MeasureOptions options;
    options.zeroUncertaintyMs = 0.196;
    const auto parts = latencyParts(d, options);
    EXPECT_NEAR(partOf(parts, UncertaintySource::Exposure)->standardMs, 0.03, 1e-12);
    EXPECT_NEAR(partOf(parts, UncertaintySource::ZeroCorrection)->standardMs, 0.1, 1e-4);
    for (const UncertaintyPart& part : parts) {
        const bool isOwn = part.source == UncertaintySource::ReferenceOnset
            || part.source == UncertaintySource::FirstLight;
        EXPECT_NE(part.commonToAll, isOwn);
    }
}

TEST(LatencyParts, ACheckedCaptureRateIsDoubtedAsTheCheckSays)
{
    MeasureOptions options;
    options.captureRate = *parseFrameRate("240");
    options.captureRateUncertaintyHz = 0.048; // 95 % half width: 1e-4 of the rate, standard
    const auto parts = latencyParts(doubts(), options);
    EXPECT_NEAR(partOf(parts, UncertaintySource::CaptureRate)->standardMs, 0.004082, 1e-5);
}

TEST(LatencyParts, OfAFittedShapeHaveItsDegreesOfFreedomWhereItDecides)
{
    LatencyDoubts d = doubts();
    d.shapeMs = 0.1;
    d.shapeDegrees = 6.0;
    EXPECT_EQ(
        partOf(latencyParts(d, {}), UncertaintySource::CameraResponse)->degreesOfFreedom, 6.0);
    d.shapeMs = 0.001;
    EXPECT_GT(
        *partOf(latencyParts(d, {}), UncertaintySource::CameraResponse)->degreesOfFreedom, 20.0);
}

} // namespace

} // namespace twinlamp::measure

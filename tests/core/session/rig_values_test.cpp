// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/edit.h"
#include "core/session/rig_values.h"
#include "tests/core/session/session_samples.h"

#include <gtest/gtest.h>

namespace twinlamp::session {
namespace {

/// A session of one rig, which tests fill with checks.
class RigValuesTest : public ::testing::Test
{
protected:
    RigValuesTest() { m_session.rigs = {Rig {rig, 0, "tripod", {}, {}, {}, {}, {}, {}, {}, {}}}; }

    void file(const std::string& date, std::variant<ZeroFigures, TimeBaseFigures> figures,
        Flags flags = {})
    {
        RigCheck check;
        check.id = newId<RigCheckId>();
        check.rig = rig;
        check.date = date;
        check.result.file = "check.mp4";
        check.result.figures = figures;
        check.result.flags = std::move(flags);
        const Result<Edit> edit = addRigCheck(m_session, check);
        ASSERT_TRUE(edit) << edit.error().detail;
        m_session = applied(m_session, *edit).value();
    }

    [[nodiscard]] measure::MeasureOptions with(const measure::MeasureOptions& asked = {}) const
    {
        const auto options = withRig(m_session, rig, asked);
        EXPECT_TRUE(options) << (options ? "" : options.error().detail);
        return options ? *options : measure::MeasureOptions {};
    }

    static constexpr RigId rig {7};
    Session m_session;
};

ZeroFigures zero(double ms, std::optional<double> lineTimeUs = std::nullopt)
{
    return {ms, 0.02, 0.01, lineTimeUs, std::nullopt, {0, 10}, {100, 110}};
}

TimeBaseFigures timeBase(double hz) { return {hz, 0.004, 240.0, 2000.0, 0.0, 20, 0.01}; }

TEST_F(RigValuesTest, RigWithoutAnythingChangesNothing)
{
    EXPECT_EQ(with(), measure::MeasureOptions {});
    EXPECT_EQ(*withRig(m_session, {}, {}), measure::MeasureOptions {}) << "no rig";
}

TEST_F(RigValuesTest, NewestChecksGiveRateZeroAndLineTime)
{
    file("2026-05-17", timeBase(239.75));
    file("2026-05-16", timeBase(111.0));
    file("2026-05-17", zero(0.5, -7.5));
    const auto options = with();
    EXPECT_EQ(options.captureRate, (FrameRate {959, 4}));
    EXPECT_EQ(options.captureRateSource, RateSource::TimeBase);
    EXPECT_EQ(options.captureRateUncertaintyHz, 0.004);
    EXPECT_EQ(options.zeroMs, 0.5);
    EXPECT_EQ(options.zeroUncertaintyMs, 0.02);
    EXPECT_EQ(options.lineTimeUs, -7.5);
    EXPECT_EQ(
        options.fromRig, (measure::FromRig {true, false, true, true, "2026-05-17", "2026-05-17"}));
}

TEST_F(RigValuesTest, OfTwoChecksOfOneDayTheLaterFiledCounts)
{
    file("2026-05-17", zero(0.5));
    file("2026-05-17", zero(0.25));
    EXPECT_EQ(with().zeroMs, 0.25);
}

TEST_F(RigValuesTest, WhatTheTesterAskedForStands)
{
    file("2026-05-17", timeBase(239.75));
    file("2026-05-17", zero(0.5, -7.5));
    measure::MeasureOptions asked;
    asked.captureRate = FrameRate {1000, 1};
    asked.lineTimeUs = 3.0;
    asked.zeroMs = 0.125;
    EXPECT_EQ(with(asked), asked);
}

TEST_F(RigValuesTest, TypedValuesServeWhereNoCheckDoes)
{
    m_session.rigs[0].captureRate = FrameRate {960, 1};
    m_session.rigs[0].exposureMs = 0.5;
    m_session.rigs[0].zeroMs = 0.25;
    m_session.rigs[0].zeroUncertaintyMs = 0.0625;
    auto options = with();
    EXPECT_EQ(options.captureRate, (FrameRate {960, 1}));
    EXPECT_EQ(options.captureRateSource, RateSource::Given);
    EXPECT_EQ(options.exposureMs, 0.5);
    EXPECT_EQ(options.zeroMs, 0.25);
    EXPECT_EQ(options.fromRig, (measure::FromRig {true, true, false, true, {}, {}}));
    file("2026-05-17", timeBase(959.5));
    EXPECT_EQ(with().captureRate, (FrameRate {1919, 2})) << "a check counts more than a label";
}

TEST_F(RigValuesTest, ValuesOfTheRigAreTakenAnewAndCanBeTakenOff)
{
    file("2026-05-17", zero(0.5, -7.5));
    file("2026-05-17", timeBase(239.75));
    measure::MeasureOptions asked;
    asked.searchMs = 80.0;
    const auto first = with(asked);
    EXPECT_EQ(with(first), first);
    EXPECT_EQ(withoutRig(first), asked);
    file("2026-05-18", zero(0.25));
    const auto second = with(first);
    EXPECT_EQ(second.zeroMs, 0.25);
    EXPECT_FALSE(second.lineTimeUs) << "the newer check told none";
}

TEST_F(RigValuesTest, SkewInsideAndALineTimeIsAnError)
{
    file("2026-05-17", zero(0.5), {Flag::RowSkewInside});
    EXPECT_EQ(with().zeroMs, 0.5);
    measure::MeasureOptions asked;
    asked.lineTimeUs = 3.0;
    const auto refused = withRig(m_session, rig, asked);
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().why, Cause::InvalidValue);
    EXPECT_NE(refused.error().detail.find("row-skew-inside"), std::string::npos);
    asked.zeroMs = 0.25;
    EXPECT_TRUE(withRig(m_session, rig, asked)) << "the tester's own zero stands";
}

TEST_F(RigValuesTest, MeasuredClipIsOutOfDateAfterANewCheck)
{
    Clip clip;
    clip.rig = rig;
    EXPECT_FALSE(isOutOfDate(m_session, clip)) << "not measured";
    ClipMeasurement measurement;
    measurement.options = with();
    clip.measurement = SharedValue<ClipMeasurement>(std::move(measurement));
    EXPECT_FALSE(isOutOfDate(m_session, clip));
    file("2026-05-17", zero(0.5));
    EXPECT_TRUE(isOutOfDate(m_session, clip));
}

TEST_F(RigValuesTest, ShortestHoldOfTheRigServesWhereNoneIsAskedFor)
{
    EXPECT_FALSE(with().shortestHoldMs);
    EXPECT_EQ(with().reliedHoldMs(), measure::usualShortestHoldMs);
    m_session.rigs[0].shortestHold = latencyFromMs(280.1);
    const auto options = with();
    EXPECT_EQ(options.shortestHoldMs, 280.1);
    EXPECT_TRUE(options.fromRig.shortestHold);
    EXPECT_EQ(withoutRig(options), measure::MeasureOptions {});
    measure::MeasureOptions asked;
    asked.shortestHoldMs = measure::usualShortestHoldMs;
    EXPECT_EQ(with(asked), asked) << "the usual one, stated, is the tester's word";
}

TEST_F(RigValuesTest, OtherShortestHoldMakesOnlyASparseScanOutOfDate)
{
    m_session.rigs[0].shortestHold = latencyFromMs(400.0);
    Clip clip;
    clip.rig = rig;
    ClipMeasurement measurement;
    measurement.options = with();
    measurement.scan.mode = ScanMode::Full;
    clip.measurement = SharedValue<ClipMeasurement>(measurement);
    measurement.scan.mode = ScanMode::Sparse;
    Clip sparse = clip;
    sparse.measurement = SharedValue<ClipMeasurement>(measurement);
    EXPECT_FALSE(isOutOfDate(m_session, sparse));
    for (const auto& hold : {std::optional(latencyFromMs(200.0)), std::optional<Latency>()}) {
        m_session.rigs[0].shortestHold = hold;
        EXPECT_FALSE(isOutOfDate(m_session, clip)) << "every frame was read";
        EXPECT_TRUE(isOutOfDate(m_session, sparse));
    }
    m_session.rigs[0].exposureMs = 1.0;
    EXPECT_TRUE(isOutOfDate(m_session, clip));
}

TEST_F(RigValuesTest, ChecksGoWithTheirRigAndComeBack)
{
    file("2026-05-17", zero(0.5));
    const Session before = m_session;
    const Result<Edit> edit = removeRig(m_session, rig);
    ASSERT_TRUE(edit);
    const Session after = applied(m_session, *edit).value();
    EXPECT_TRUE(after.rigChecks.empty());
    EXPECT_EQ(*reverted(after, *edit), before);
}

TEST_F(RigValuesTest, DateThatIsNoneIsRefused)
{
    RigCheck check;
    check.id = newId<RigCheckId>();
    check.rig = rig;
    check.date = "17.5.2026";
    EXPECT_EQ(addRigCheck(m_session, check).error().why, Cause::InvalidValue);
}

TEST_F(RigValuesTest, ChecksAreNotMadeWithOneOfTheirOwnKind)
{
    m_session.rigs[0].captureRate = FrameRate {240, 1};
    m_session.rigs[0].zeroMs = 0.25;
    file("2026-05-17", timeBase(239.75));
    file("2026-05-17", zero(0.5, -7.5));
    const auto forZero = withRigForCheck(m_session, rig, CheckKind::Zero, {});
    EXPECT_EQ(forZero.captureRate, (FrameRate {959, 4}));
    EXPECT_EQ(forZero.zeroMs, 0.0);
    EXPECT_FALSE(forZero.lineTimeUs);
    const auto forTimeBase = withRigForCheck(m_session, rig, CheckKind::TimeBase, {});
    EXPECT_EQ(forTimeBase.captureRate, (FrameRate {240, 1})) << "the label";
}

} // namespace
} // namespace twinlamp::session

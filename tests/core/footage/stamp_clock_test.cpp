// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/stamp_clock.h"

#include <cmath>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <numbers>
#include <ostream>
#include <random>
#include <string>

namespace twinlamp::footage {

namespace {

/// A camera's clock as a container keeps it. Lost frames as pairs (frame after the gap, how many).
struct Recording
{
    std::string name;
    double rateHz = 240.0;
    TickLength tick {1, 90000};
    int frames = 600;
    std::vector<StampGap> gaps {};
    double wobble = 0.0; ///< largest displacement of a stamp, in intervals
    double drift = 0.0; ///< share by which the interval swings, over 300 frames
    double startPhase = 0.3; ///< of a tick
};

std::vector<std::int64_t> stampsOf(const Recording& recording)
{
    std::mt19937 random(11);
    std::uniform_real_distribution<> displaced(-recording.wobble, recording.wobble);
    const double interval = static_cast<double>(recording.tick.den)
        / static_cast<double>(recording.tick.num) / recording.rateHz;
    std::vector<std::int64_t> stamps;
    double time = recording.startPhase;
    std::size_t gap = 0;
    for (int k = 0; k < recording.frames; ++k) {
        double intervals = k == 0 ? 0.0 : 1.0;
        if (gap < recording.gaps.size() && recording.gaps[gap].after.value == k) {
            intervals += static_cast<double>(recording.gaps[gap++].lost);
        }
        constexpr double swingFrames = 300.0;
        const double swing = std::sin(2.0 * std::numbers::pi * k / swingFrames);
        time += intervals * interval * (1.0 + recording.drift * swing);
        stamps.push_back(
            static_cast<std::int64_t>(std::floor(time + displaced(random) * interval)));
    }
    return stamps;
}

FrameRate asRate(double hz)
{
    constexpr std::int64_t million = 1'000'000;
    return {std::llround(hz * static_cast<double>(million)), million};
}

constexpr TickLength millisecond {1, 1000}; // Matroska's default
constexpr TickLength sixHundred {1, 600};
constexpr TickLength ninetyThousand {1, 90000};

std::vector<Recording> recordings()
{
    const double ntsc240 = 240'000.0 / 1001.0;
    const double ntsc960 = 960'000.0 / 1001.0;
    const std::vector<StampGap> many {{{7}, 1}, {{60}, 2}, {{61}, 1}, {{199}, 10}, {{300}, 1},
        {{320}, 1}, {{340}, 3}, {{598}, 1}};
    return {
        {"UniformClock", 240.0, ninetyThousand},
        {"UniformClockWithGaps", 240.0, ninetyThousand, 600, many},
        {"GapAtTheSecondFrame", 240.0, ninetyThousand, 600, {{{1}, 1}}},
        {"GapAtTheLastFrame", 240.0, ninetyThousand, 600, {{{599}, 2}}},
        {"TenLostInARow", 240.0, ninetyThousand, 600, {{{250}, 10}}},
        {"NtscInNinetyThousandths", ntsc240, ninetyThousand, 600, many},
        {"StepsOfTwoAndThreeTicks", 240.0, sixHundred},
        {"StepsOfTwoAndThreeTicksWithGaps", 240.0, sixHundred, 600, many},
        {"StepsOfOneAndTwoMilliseconds", ntsc960, millisecond},
        {"StepsOfOneAndTwoMillisecondsWithOneGap", ntsc960, millisecond, 600, {{{301}, 1}}},
        {"StepsOfOneAndTwoMillisecondsWithGaps", ntsc960, millisecond, 3000, many},
        {"NineHundredSixtyInMilliseconds", 960.0, millisecond, 3000, many},
        {"ThousandInMilliseconds", 1000.0, millisecond, 600, {{{444}, 1}}},
        {"ThousandInMillisecondsWithGaps", 1000.0, millisecond, 600, many},
        {"FourHundredEightyInMilliseconds", 480.0, millisecond, 600, many},
        {"EightHundredInMilliseconds", 800.0, millisecond, 3000, many},
        {"WobbleOfAFifth", 240.0, ninetyThousand, 600, {{{250}, 1}}, 0.2},
        {"WobbleOfTwoFifths", 240.0, ninetyThousand, 600, {}, 0.4},
        {"SlowDrift", 30.0, ninetyThousand, 900, {}, 0.1, 0.07},
        {"SlowDriftWithAGap", 30.0, ninetyThousand, 900, {{{500}, 1}}, 0.05, 0.07},
        {"SlowMotionInMilliseconds", 30.0, millisecond, 600, many},
        {"ShortClip", 1000.0, {1, 16000}, 12, {{{6}, 1}}},
    };
}

void PrintTo(const Recording& recording, std::ostream* out) { *out << recording.name; }

std::vector<std::pair<std::int64_t, std::int64_t>> pairsOf(const std::vector<StampGap>& gaps)
{
    std::vector<std::pair<std::int64_t, std::int64_t>> pairs;
    for (const StampGap& gap : gaps) {
        pairs.emplace_back(gap.after.value, gap.lost);
    }
    return pairs;
}

class StampReadingOf : public testing::TestWithParam<Recording>
{
};

TEST_P(StampReadingOf, FindsTheLostFramesAndNoOthers)
{
    const Recording& recording = GetParam();
    const StampReading reading
        = readStamps(stampsOf(recording), recording.tick, asRate(recording.rateHz));
    EXPECT_EQ(pairsOf(reading.gaps), pairsOf(recording.gaps));
}

TEST_P(StampReadingOf, FindsTheInterval)
{
    const Recording& recording = GetParam();
    const StampReading reading
        = readStamps(stampsOf(recording), recording.tick, asRate(recording.rateHz));
    const double interval = static_cast<double>(recording.tick.den)
        / static_cast<double>(recording.tick.num) / recording.rateHz;
    // A straight line over n stamps, each off by up to a tick and the wobble, is off by less than
    // that much over the clip; a drift does not end where it began.
    const double tolerance = (1.0 + 2.0 * recording.wobble * interval) / recording.frames
        + interval * recording.drift / 5.0;
    EXPECT_NEAR(reading.intervalTicks, interval, tolerance);
}

INSTANTIATE_TEST_SUITE_P(Footage, StampReadingOf, testing::ValuesIn(recordings()),
    [](const testing::TestParamInfo<Recording>& recording) { return recording.param.name; });

TEST(StampReading, OneLateStampIsNoGap)
{
    Recording recording;
    std::vector<std::int64_t> stamps = stampsOf(recording);
    stamps[200] += 250; // two thirds of an interval: the step is 1.67, the next one makes up for it
    EXPECT_TRUE(readStamps(stamps, recording.tick, asRate(240.0)).gaps.empty());
}

TEST(StampReading, WrongCaptureRateByAThousandthMakesNoGaps)
{
    Recording recording {"", 960'000.0 / 1001.0, millisecond, 5000};
    EXPECT_TRUE(readStamps(stampsOf(recording), millisecond, FrameRate {960, 1}).gaps.empty());
}

TEST(StampReading, SlowMotionDoesNotNeedTheCaptureRate)
{
    const std::vector<StampGap> gap {{{100}, 2}};
    Recording recording {"", 30.0, ninetyThousand, 300, gap};
    EXPECT_EQ(readStamps(stampsOf(recording), ninetyThousand, FrameRate {240, 1}).gaps, gap);
    EXPECT_EQ(readStamps(stampsOf(recording), ninetyThousand, std::nullopt).gaps, gap);
}

TEST(StampReading, UniformClocksAreEvenHoweverCoarseTheGrid)
{
    for (const double rate : {30.0, 240.0, 480.0, 960'000.0 / 1001.0, 1000.0}) {
        Recording recording {"", rate, millisecond, 2000, {{{700}, 3}}};
        EXPECT_FALSE(readStamps(stampsOf(recording), millisecond, asRate(rate)).uneven) << rate;
    }
}

TEST(StampReading, PhoneStampsThatSwingAreUneven)
{
    // Play rate 30.045, from 28.644 to 33.100 (reference/measurement.md 2.3, real example).
    Recording recording {"", 30.045, ninetyThousand, 900, {}, 0.1, 0.07};
    const StampReading reading
        = readStamps(stampsOf(recording), ninetyThousand, FrameRate {120, 1});
    EXPECT_TRUE(reading.uneven);
    EXPECT_TRUE(reading.gaps.empty());
}

TEST(StampReading, FewerThanTwoDifferentStampsHaveNoInterval)
{
    EXPECT_EQ(readStamps({}, millisecond, std::nullopt).intervalTicks, 0.0);
    const std::vector<std::int64_t> same {5, 5, 5};
    EXPECT_EQ(readStamps(same, millisecond, std::nullopt).intervalTicks, 0.0);
}

} // namespace

} // namespace twinlamp::footage

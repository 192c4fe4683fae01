// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/clip_analysis.h"
#include "core/measure/line_time.h"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::measure {
namespace {

/// Light of a reference lamp at the top and a goggle lamp further down that are switched together,
/// by the closed form of a step through a box exposure row by row; white noise on every line.
class TwoLamps
{
public:
    static constexpr double frameMs = 4.0;
    static constexpr double exposureMs = 3.6;
    static constexpr double goggleDelayMs = 30.0;
    static constexpr int storedRows = 180;
    static constexpr RectPx reference {20, 10, 24, 24};
    static constexpr RectPx goggle {200, 141, 24, 2}; // two rows: hardly any skew of its own
    static constexpr int lines = 12;

    TwoLamps(double lineTimeUs, double noise, int presses, unsigned seed)
        : m_lineTimeMs(lineTimeUs * 1e-3)
        , m_random(seed)
        , m_noise(0.0, noise)
    {
        std::uniform_real_distribution<double> hold(180.0, 260.0);
        double at = 100.0;
        for (int edge = 0; edge < 2 * presses; ++edge) {
            m_switchedMs.push_back(at += hold(m_random));
        }
        const auto frames = static_cast<std::size_t>((at + 200.0) / frameMs);
        for (std::size_t k = 0; k < frames; ++k) {
            m_startMs.push_back(static_cast<double>(k) * frameMs);
            double sum = 0.0;
            for (int line = 0; line < lines; ++line) {
                const double light = lightOf(k, reference.y + 2.0 * line, 2, 0.0);
                m_referenceLines.push_back(static_cast<float>(light));
                sum += light / lines;
            }
            m_reference.push_back(static_cast<float>(sum));
            m_goggle.push_back(
                static_cast<float>(lightOf(k, goggle.y, goggle.height, goggleDelayMs)));
        }
        m_unclipped.assign(frames, 0.0F);
    }

    [[nodiscard]] AnalysisInput input() const
    {
        AnalysisInput input;
        input.reference = m_reference;
        input.goggle = m_goggle;
        input.referenceHigh = m_unclipped;
        input.goggleHigh = m_unclipped;
        input.startMs = m_startMs;
        input.referenceLines = panel::CellTraces {1, lines, m_referenceLines, reference};
        input.frameIntervalMs = frameMs;
        input.storedRows = storedRows;
        input.referenceStored = reference;
        input.goggleStored = goggle;
        return input;
    }

private:
    // Mean light of a few rows in frame k; the lamp is dark at 0.1 and lit at 0.6.
    double lightOf(std::size_t k, double firstRow, int rows, double delayMs)
    {
        double sum = 0.0;
        for (int row = 0; row < rows; ++row) {
            const double start = static_cast<double>(k) * frameMs + m_lineTimeMs * (firstRow + row);
            double lit = 0.0;
            for (std::size_t i = 0; i < m_switchedMs.size(); i += 2) {
                const double on = m_switchedMs[i] + delayMs;
                const double off = m_switchedMs[i + 1] + delayMs;
                lit += std::max(0.0, std::min(start + exposureMs, off) - std::max(start, on));
            }
            sum += 0.1 + 0.5 * lit / exposureMs;
        }
        return sum / rows + m_noise(m_random);
    }

    double m_lineTimeMs;
    std::mt19937 m_random;
    std::normal_distribution<double> m_noise;
    std::vector<double> m_switchedMs;
    std::vector<double> m_startMs;
    std::vector<float> m_reference;
    std::vector<float> m_referenceLines;
    std::vector<float> m_goggle;
    std::vector<float> m_unclipped;
};

// Frames of 4 ms do not tell a step from a short ramp: small against the 1.8 ms of the skew.
constexpr double shapeDoubtMs = 0.3;

MeasureOptions withExposure()
{
    MeasureOptions options;
    options.exposureMs = TwoLamps::exposureMs;
    return options;
}

double meanLatencyMs(const Analysis& analysis)
{
    double sum = 0.0;
    int count = 0;
    for (const Press& press : analysis.presses) {
        if (press.latency) {
            sum += toMs(*press.latency);
            ++count;
        }
    }
    EXPECT_GT(count, 0);
    return count == 0 ? 0.0 : sum / count;
}

bool hasNote(const Analysis& analysis, std::string_view id)
{
    return std::ranges::any_of(analysis.notes, [&](const Sentence& note) { return note.id == id; });
}

double lineTimePartMs(const Press& press)
{
    for (const UncertaintyPart& part : press.parts) {
        if (part.source == UncertaintySource::LineTime) {
            return part.standardMs;
        }
    }
    return 0.0;
}

TEST(LineTime, UntoldIsReadFromTheLampsRowsAndTheLatencyIsFreeOfTheSkew)
{
    // 120 rows between the lamps at 15 us: uncorrected, the latency is 1.8 ms short.
    for (const double lineTimeUs : {15.0, -15.0}) {
        const TwoLamps lamps(lineTimeUs, 1e-3, 12, 7);
        const Analysis analysis = analyseClip(lamps.input(), withExposure());
        ASSERT_EQ(analysis.presses.size(), 24U);
        EXPECT_EQ(analysis.lineTimeSource, LineTimeSource::Estimated);
        ASSERT_TRUE(analysis.lineTimeUs);
        EXPECT_NEAR(*analysis.lineTimeUs, lineTimeUs, 0.5);
        EXPECT_TRUE(hasNote(analysis, "line-time-estimated"));
        EXPECT_NEAR(meanLatencyMs(analysis), TwoLamps::goggleDelayMs, shapeDoubtMs);
        EXPECT_GT(lineTimePartMs(analysis.presses.front()), 0.0);
    }
}

TEST(LineTime, ToldAsNoneIsTakenAtItsWord)
{
    const TwoLamps lamps(15.0, 1e-3, 12, 7);
    MeasureOptions options = withExposure();
    options.lineTimeUs = 0.0;
    const Analysis analysis = analyseClip(lamps.input(), options);
    EXPECT_EQ(analysis.lineTimeSource, LineTimeSource::Given);
    EXPECT_NEAR(meanLatencyMs(analysis), TwoLamps::goggleDelayMs - 1.8, shapeDoubtMs);
    EXPECT_EQ(lineTimePartMs(analysis.presses.front()), 0.0);
}

TEST(LineTime, OfAPictureExposedAtOnceCorrectsNothingAndIsDoubtedLittle)
{
    int estimated = 0;
    for (unsigned seed = 1; seed <= 20; ++seed) {
        const TwoLamps lamps(0.0, 2e-3, 8, seed);
        const Analysis analysis = analyseClip(lamps.input(), withExposure());
        estimated += analysis.lineTimeSource == LineTimeSource::Estimated ? 1 : 0;
        // A camera whose rows take the whole frame would put 2.7 ms between the lamps.
        EXPECT_LT(lineTimePartMs(analysis.presses.front()), 0.2) << seed;
    }
    EXPECT_LE(estimated, 1); // beyond four standard deviations, Student's t with 15 degrees: 0.1 %
}

TEST(LineTime, ThatTheRowsCannotTellIsDoubtedAsFarAsAnyCameraGoes)
{
    const TwoLamps lamps(0.0, 1e-3, 12, 7);
    AnalysisInput input = lamps.input();
    input.referenceLines.reset();
    const Analysis analysis = analyseClip(input, withExposure());
    // JCGM 100:2008, 4.3.7: half the width of the rectangle over sqrt(3); 120 of 180 rows.
    const double expected = TwoLamps::frameMs * 120.0 / 180.0 / std::sqrt(3.0);
    EXPECT_NEAR(lineTimePartMs(analysis.presses.front()), expected, 1e-9);
    EXPECT_TRUE(hasNote(analysis, "line-time-unknown"));
    EXPECT_FALSE(analysis.lineTimeUs);
}

TEST(LineTime, IsInsideAZeroCorrectionThatCameWithoutOne)
{
    const TwoLamps lamps(15.0, 1e-3, 12, 7);
    MeasureOptions options = withExposure();
    options.zeroMs = -1.8; // what a zero check between these rows finds
    const Analysis analysis = analyseClip(lamps.input(), options);
    EXPECT_EQ(analysis.lineTimeSource, LineTimeSource::Unknown);
    EXPECT_NEAR(meanLatencyMs(analysis), TwoLamps::goggleDelayMs, shapeDoubtMs);
    EXPECT_EQ(lineTimePartMs(analysis.presses.front()), 0.0);
}

TEST(LineTime, IntervalsHoldTheLatencyAcrossLineTimes)
{
    int inside = 0;
    int all = 0;
    for (unsigned seed = 1; seed <= 30; ++seed) {
        const double lineTimeUs = -20.0 + 40.0 * seed / 30.0;
        const TwoLamps lamps(lineTimeUs, 4e-3, 6, seed);
        for (const Press& press : analyseClip(lamps.input(), withExposure()).presses) {
            ASSERT_TRUE(press.latency && press.uncertainty);
            all += 1;
            inside += std::abs(toMs(*press.latency) - TwoLamps::goggleDelayMs)
                    <= toMs(*press.uncertainty)
                ? 1
                : 0;
        }
    }
    // 360 presses of 30 clips that share one line time each: fewer than 84 % inside would be a
    // coverage of 95 % missed by more than three standard deviations of 30 trials.
    EXPECT_GE(static_cast<double>(inside), 0.84 * all) << inside << " of " << all;
}

} // namespace
} // namespace twinlamp::measure

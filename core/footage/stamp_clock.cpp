// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/stamp_clock.h"

#include "core/footage/coarse_stamps.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace twinlamp::footage {

namespace {

using Stamps = std::span<const std::int64_t>;

/// Stamps on each side of a jump that tell whether it stays. Two dozen average out a wobble of 0.4
/// intervals (no false gap in 5000 frames), and are too few for a drift of the clock to matter.
constexpr std::size_t sideFrames = 24;

double medianOf(std::vector<double> values)
{
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::ranges::nth_element(values, middle);
    return *middle;
}

double step(Stamps stamps, std::size_t k) { return static_cast<double>(stamps[k] - stamps[k - 1]); }

/// Spacing of the lines that the stamps were rounded to, in ticks: the ticks themselves, or the
/// milliseconds that a file was stored with before its stamps were copied to finer ticks.
double gridTicks(Stamps stamps, TickLength tick)
{
    const double ms = static_cast<double>(tick.den) / (1e3 * static_cast<double>(tick.num));
    constexpr double fewestTicksInMs = 8.0; // fewer: chance alone keeps stamps near whole ms
    constexpr std::size_t fewestStamps = 16;
    if (ms < fewestTicksInMs || stamps.size() < fewestStamps) {
        return 1.0;
    }
    const bool wholeMs = std::ranges::all_of(stamps, [&](std::int64_t stamp) {
        const double inMs = static_cast<double>(stamp - stamps.front()) / ms;
        return std::abs(inMs - std::round(inMs)) * ms <= 1.0;
    });
    return wholeMs ? ms : 1.0;
}

struct Interval
{
    double ticks = 0.0;
    double agreement = 0.0; ///< share of the spans that are close to their median
};

/// Median advance over `lag` frames within [first, last], then the mean of what lies within
/// `closeTo` of it: exact on a rounded clock, blind to the spans that hold a gap.
Interval intervalOver(
    Stamps stamps, std::size_t first, std::size_t last, std::size_t lag, double closeTo)
{
    lag = std::min(lag, last - first);
    std::vector<double> advances;
    for (std::size_t k = first; k + lag <= last; ++k) {
        advances.push_back(static_cast<double>(stamps[k + lag] - stamps[k]));
    }
    const double median = medianOf(advances);
    double sum = 0.0;
    double count = 0.0;
    for (const double advance : advances) {
        if (std::abs(advance - median) <= closeTo) {
            sum += advance;
            count += 1.0;
        }
    }
    return {sum / count / static_cast<double>(lag), count / static_cast<double>(advances.size())};
}

/// The same over the longest spans, up to 16 frames, most of which hold no gap: long ones average
/// out rounding and wobble, short ones stand many gaps.
double intervalOverLongSpans(Stamps stamps, std::size_t first, std::size_t last, double closeTo)
{
    constexpr double most = 0.6;
    Interval interval;
    for (const std::size_t lag : {16U, 8U, 4U, 2U, 1U}) {
        interval = intervalOver(stamps, first, last, lag, closeTo);
        if (interval.agreement >= most) {
            break;
        }
    }
    return interval.ticks;
}

/// The clock's interval near each frame, one value per block of frames.
class LocalInterval
{
public:
    LocalInterval(Stamps stamps, double grid)
    {
        const std::size_t lastFrame = stamps.size() - 1;
        const double steady = intervalOver(stamps, 0, lastFrame, 1, 0.0).ticks;
        for (std::size_t block = 0; block * blockFrames <= lastFrame; ++block) {
            const std::size_t centre = block * blockFrames + blockFrames / 2;
            const std::size_t first = centre > reach ? centre - reach : 0;
            const std::size_t last = std::min(lastFrame, centre + reach);
            m_values.push_back(local(stamps, std::min(first, last - 1), last, grid, steady));
        }
    }

    [[nodiscard]] double at(std::size_t k) const { return m_values[k / blockFrames]; }

private:
    static constexpr std::size_t blockFrames = 16;
    static constexpr std::size_t reach = 40;

    static double local(
        Stamps stamps, std::size_t first, std::size_t last, double grid, double steady)
    {
        std::vector<double> offMedian;
        const double median = intervalOver(stamps, first, last, 1, 0.0).ticks;
        for (std::size_t k = first + 1; k <= last; ++k) {
            offMedian.push_back(std::abs(step(stamps, k) - median));
        }
        constexpr double smallShare = 0.1; // of an interval
        constexpr double steadyShare = 0.04; // more wobble biases a mean of single steps
        const bool clean = grid <= smallShare * steady && median > 0.0
            && medianOf(offMedian) <= steadyShare * median;
        return clean ? intervalOver(stamps, first, last, 1, 0.25 * median).ticks
                     : intervalOverLongSpans(stamps, first, last, grid + 0.4 * median);
    }

    std::vector<double> m_values;
};

/// How far the stamps from k on are shifted against those before, beyond one interval. Looks at a
/// few frames on each side, from `leftEnd` to `rightEnd`.
double shiftAt(
    Stamps stamps, std::size_t k, double interval, std::size_t leftEnd, std::size_t rightEnd)
{
    std::vector<double> before;
    std::vector<double> after;
    for (std::size_t j = leftEnd; j < k; ++j) {
        before.push_back(static_cast<double>(stamps[j] - stamps[k - 1])
            + interval * static_cast<double>(k - 1 - j));
    }
    for (std::size_t j = k; j < rightEnd; ++j) {
        after.push_back(
            static_cast<double>(stamps[j] - stamps[k]) - interval * static_cast<double>(j - k));
    }
    return step(stamps, k) - interval + medianOf(after) - medianOf(before);
}

/// Frames that stand a jump before them: a step of 1.5 intervals or more, and the two dozen stamps
/// on either side shifted against each other by half an interval or more.
std::vector<std::size_t> jumps(Stamps stamps, const LocalInterval& interval)
{
    constexpr double jumpIntervals = 1.5;
    constexpr double shiftIntervals = 0.5;
    std::vector<std::size_t> found;
    for (std::size_t k = 1; k < stamps.size(); ++k) {
        const double here = interval.at(k);
        const std::size_t leftEnd = k > sideFrames ? k - sideFrames : 0;
        const std::size_t rightEnd = std::min(stamps.size(), k + sideFrames);
        if (step(stamps, k) >= jumpIntervals * here
            && shiftAt(stamps, k, here, leftEnd, rightEnd) >= shiftIntervals * here) {
            found.push_back(k);
        }
    }
    return found;
}

std::vector<StampGap> fineGaps(Stamps stamps, double grid)
{
    const LocalInterval interval(stamps, grid);
    const std::vector<std::size_t> found = jumps(stamps, interval);
    std::vector<StampGap> gaps;
    std::size_t lastGap = 0;
    for (std::size_t i = 0; i < found.size(); ++i) {
        const std::size_t k = found[i];
        const std::size_t next = i + 1 < found.size() ? found[i + 1] : stamps.size();
        const std::size_t leftEnd = std::max(lastGap, k > sideFrames ? k - sideFrames : 0);
        const std::size_t rightEnd = std::min(next, k + sideFrames);
        const double shift = shiftAt(stamps, k, interval.at(k), leftEnd, rightEnd);
        const auto lost = static_cast<std::int64_t>(std::llround(shift / interval.at(k)));
        if (lost >= 1) {
            gaps.push_back({{static_cast<std::int64_t>(k)}, lost});
            lastGap = k;
        }
    }
    return gaps;
}

/// Slope of the straight line through the stamps over the frames' numbers, lost ones counted.
double slope(Stamps stamps, const std::vector<StampGap>& gaps)
{
    const auto n = static_cast<double>(stamps.size());
    std::vector<double> numbers(stamps.size());
    std::size_t gap = 0;
    double lost = 0.0;
    for (std::size_t k = 0; k < stamps.size(); ++k) {
        if (gap < gaps.size() && gaps[gap].after.value == static_cast<std::int64_t>(k)) {
            lost += static_cast<double>(gaps[gap++].lost);
        }
        numbers[k] = static_cast<double>(k) + lost;
    }
    const double meanNumber = std::accumulate(numbers.begin(), numbers.end(), 0.0) / n;
    double squares = 0.0;
    double products = 0.0;
    for (std::size_t k = 0; k < stamps.size(); ++k) {
        const double off = numbers[k] - meanNumber;
        squares += off * off;
        products += off * static_cast<double>(stamps[k] - stamps.front());
    }
    return products / squares;
}

/// Strongly uneven: the stamps leave the straight line through them by more than a frame, or many
/// steps are far from the interval.
bool isUneven(Stamps stamps, const StampReading& reading, double grid)
{
    constexpr double farShare = 0.3;
    constexpr double manyShare = 0.02;
    std::size_t far = 0;
    std::size_t gap = 0;
    std::int64_t lost = 0;
    double worst = 0.0;
    for (std::size_t k = 1; k < stamps.size(); ++k) {
        std::int64_t lostHere = 0;
        if (gap < reading.gaps.size()
            && reading.gaps[gap].after.value == static_cast<std::int64_t>(k)) {
            lostHere = reading.gaps[gap++].lost;
        }
        lost += lostHere;
        const double ideal = reading.intervalTicks * static_cast<double>(1 + lostHere);
        far += std::abs(step(stamps, k) - ideal) > grid + farShare * reading.intervalTicks ? 1U
                                                                                           : 0U;
        const double line
            = reading.intervalTicks * static_cast<double>(static_cast<std::int64_t>(k) + lost);
        worst = std::max(worst, std::abs(static_cast<double>(stamps[k] - stamps[0]) - line));
    }
    return static_cast<double>(far) > manyShare * static_cast<double>(stamps.size())
        || worst > reading.intervalTicks + grid;
}

/// Gaps of a clock that is uniform but for the rounding to a grid coarse against its interval;
/// nothing where the stamps follow no such clock.
std::optional<std::vector<StampGap>> roundedClockGaps(
    Stamps stamps, double grid, std::optional<double> expectedTicks)
{
    std::vector<std::int64_t> lines(stamps.size());
    std::ranges::transform(stamps, lines.begin(), [&](std::int64_t stamp) {
        return std::llround(static_cast<double>(stamp - stamps.front()) / grid);
    });
    std::optional<double> expected;
    if (expectedTicks) {
        expected = *expectedTicks / grid;
    }
    return coarseGaps(lines, expected);
}

} // namespace

StampReading readStamps(Stamps stamps, TickLength tick, std::optional<FrameRate> captureRate)
{
    StampReading reading;
    if (stamps.size() < 2 || stamps.back() == stamps.front()) {
        return reading;
    }
    const double grid = gridTicks(stamps, tick);
    const double rough = intervalOverLongSpans(stamps, 0, stamps.size() - 1, grid);
    std::optional<double> expectedTicks;
    if (captureRate) {
        expectedTicks
            = static_cast<double>(tick.den) / static_cast<double>(tick.num) / captureRate->hz();
    }
    constexpr double mostLines = 10.0; // per interval: finer than that, rounding hardly matters
    std::optional<std::vector<StampGap>> rounded;
    if (rough < mostLines * grid) {
        rounded = roundedClockGaps(stamps, grid, expectedTicks);
    }
    reading.gaps = rounded ? std::move(*rounded) : fineGaps(stamps, grid);
    reading.intervalTicks = slope(stamps, reading.gaps);
    reading.uneven = isUneven(stamps, reading, grid);
    return reading;
}

} // namespace twinlamp::footage

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/new_frame_interval.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>
#include <vector>

namespace twinlamp::measure {

using onset::AnswerFit;
using onset::ShapeTable;
using onset::StepShape;

namespace {

// Range of second-step delays that are tried: 250 to 22 new pictures a second.
constexpr double shortestNewFrameMs = 5.0;
constexpr double longestNewFrameMs = 45.0;
// Presses that happen to fall on every second picture show a rhythm of twice the link's interval:
// it is no redraw of the panel's.
constexpr double mostOfTold = 1.8;

std::vector<double> pressTimes(std::span<const TracedAnswer> answers)
{
    std::vector<double> times;
    for (const TracedAnswer& answer : answers) {
        if (answer.pressMs) {
            times.push_back(*answer.pressMs);
        }
    }
    return times;
}

// Squared residuals of all answers, each in units of its own step; the better of one and two steps
// counts.
class DelayProfile
{
public:
    DelayProfile(std::span<const TracedAnswer> answers, const StepShape& shape)
        : m_answers(answers)
        , m_table(shape, answers.empty() ? 0.0 : answers.front().trace.camera.exposureMs)
    {
        const std::vector<double> none {0.0};
        for (const TracedAnswer& answer : m_answers) {
            m_single.push_back(fitAnswer(answer.trace, answer.window, m_table, none));
            m_singleSquares += m_single.back() ? relative(*m_single.back(), *m_single.back()) : 1.0;
        }
    }

    [[nodiscard]] double singleSquares() const { return m_singleSquares; }

    [[nodiscard]] double squares(double delayMs) const { return sumOf(each(delayMs)); }

    /// What every answer leaves under the better of one and two steps.
    [[nodiscard]] std::vector<double> each(double delayMs) const
    {
        const std::vector<double> one {delayMs};
        std::vector<double> left;
        for (std::size_t i = 0; i < m_answers.size(); ++i) {
            if (!m_single[i]) {
                left.push_back(1.0);
                continue;
            }
            const auto fit = fitAnswer(m_answers[i].trace, m_answers[i].window, m_table, one);
            const double single = relative(*m_single[i], *m_single[i]);
            left.push_back(fit ? std::min(single, relative(*fit, *m_single[i])) : single);
        }
        return left;
    }

    /// Starts of all answers, in two steps a delay apart where that explains them better.
    [[nodiscard]] std::vector<double> starts(double delayMs) const
    {
        const std::vector<double> delays {0.0, delayMs};
        std::vector<double> starts;
        for (const TracedAnswer& answer : m_answers) {
            if (const auto fit = fitAnswer(answer.trace, answer.window, m_table, delays)) {
                starts.push_back(fit->startMs);
            }
        }
        return starts;
    }

    [[nodiscard]] std::vector<double> presses() const { return pressTimes(m_answers); }

    /// The same under one step.
    [[nodiscard]] std::vector<double> eachSingle() const
    {
        std::vector<double> left;
        for (const auto& single : m_single) {
            left.push_back(single ? relative(*single, *single) : 1.0);
        }
        return left;
    }

    static double sumOf(const std::vector<double>& values)
    {
        return std::accumulate(values.begin(), values.end(), 0.0);
    }

private:
    static double relative(const AnswerFit& fit, const AnswerFit& single)
    {
        return single.step() == 0.0 ? 1.0 : fit.squares / (single.step() * single.step());
    }

    std::span<const TracedAnswer> m_answers;
    ShapeTable m_table;
    std::vector<std::optional<AnswerFit>> m_single;
    double m_singleSquares = 0.0;
};

const std::array guessedShapes {
    StepShape {0.6, 0.2}, StepShape {1.5, 0.8}, StepShape {1.0, 2.5}, StepShape {4.0, 0.6}};

std::vector<DelayProfile> delayProfiles(std::span<const TracedAnswer> answers)
{
    std::vector<DelayProfile> profiles;
    profiles.reserve(guessedShapes.size());
    for (const StepShape& shape : guessedShapes) {
        profiles.emplace_back(answers, shape);
    }
    return profiles;
}

// Which multiple of a rhythm is the interval of new pictures, by the second steps of the answers.
double bestMultiple(const std::vector<DelayProfile>& profiles, double rhythmMs)
{
    double best = std::numeric_limits<double>::infinity();
    double multipleOfBest = 1.0;
    for (const DelayProfile& profile : profiles) {
        constexpr int mostMultiple = 4;
        for (int times = 1; times <= mostMultiple && times * rhythmMs <= longestNewFrameMs;
             ++times) {
            const double multiple = times;
            // A longer interval has to explain the answers clearly better: a lost picture looks
            // like one.
            constexpr double preference = 1.25;
            const double squares
                = profile.squares(multiple * rhythmMs) * (multiple > 1.0 ? preference : 1.0);
            if (squares < best) {
                best = squares;
                multipleOfBest = multiple;
            }
        }
    }
    return multipleOfBest;
}

/// Answers whose second step comes clearly one, or clearly two redraws after the first.
struct StepVotes
{
    int one = 0;
    int two = 0;
};

StepVotes stepVotes(const DelayProfile& profile, double rhythmMs)
{
    const std::vector<double> single = profile.eachSingle();
    const std::vector<double> once = profile.each(rhythmMs);
    const std::vector<double> twice = profile.each(2.0 * rhythmMs);
    constexpr double clearly = 0.35;
    StepVotes votes;
    for (std::size_t i = 0; i < single.size(); ++i) {
        votes.one += once[i] < clearly * std::min(single[i], twice[i]) ? 1 : 0;
        votes.two += twice[i] < clearly * std::min(single[i], once[i]) ? 1 : 0;
    }
    return votes;
}

// A panel that redraws more often than new pictures come shows some for one redraw and some for
// two. A lost picture looks like that as well, but not as often.
std::optional<Interval> ofMixedSteps(const std::vector<DelayProfile>& profiles, Interval rhythm)
{
    StepVotes votes;
    for (const DelayProfile& profile : profiles) {
        const StepVotes other = stepVotes(profile, rhythm.ms);
        votes = other.one + other.two > votes.one + votes.two ? other : votes;
    }
    constexpr int fewest = 3;
    constexpr double often = 0.35; // a quarter late, as jitter and loss make them, is no clock
    const double all = votes.one + votes.two;
    if (votes.one < fewest || votes.two < fewest || votes.two < often * all
        || votes.one < often * all) {
        return std::nullopt;
    }
    const double share = votes.two / all;
    return Interval {(1.0 + share) * rhythm.ms, rhythm.ms * std::sqrt(share * (1.0 - share) / all)};
}

PictureRhythm withTold(Interval rhythm, double toldMs)
{
    const double multiple = std::max(1.0, std::round(toldMs / rhythm.ms));
    const double together = multiple * rhythm.ms;
    // A camera's clock and a rounded rate are closer than this.
    constexpr double asTold = 0.006;
    if (std::abs(together / toldMs - 1.0) < asTold) {
        const Interval interval {together, multiple * rhythm.standardMs};
        return {interval, false, interval};
    }
    return {rhythm, true, std::nullopt};
}

constexpr double infinite = std::numeric_limits<double>::infinity();

struct DelayScan
{
    double squares = infinite; ///< of all answers
    double delayMs = 0.0; ///< 0: none stands out
    std::optional<Interval> rhythm; ///< of the starts, near the delay
};

// Answers that two steps explain far better than one vote for the delay, each by the logarithm of
// what it leaves: a press whose second picture came late must not outvote the others by its size.
DelayScan scanDelays(const DelayProfile& profile, double stepMs)
{
    const auto steps
        = static_cast<std::size_t>((longestNewFrameMs - shortestNewFrameMs) / stepMs) + 1;
    std::vector<std::vector<double>> left;
    left.reserve(steps);
    for (std::size_t i = 0; i < steps; ++i) {
        left.push_back(profile.each(shortestNewFrameMs + static_cast<double>(i) * stepMs));
    }
    const std::vector<double> single = profile.eachSingle();
    std::vector<double> vote(steps, 0.0);
    for (std::size_t answer = 0; answer < single.size(); ++answer) {
        double least = single[answer];
        for (const auto& values : left) {
            least = std::min(least, values[answer]);
        }
        constexpr double farBetter = 0.3;
        constexpr double leastLeft = 1e-4;
        if (least < farBetter * single[answer]) {
            for (std::size_t i = 0; i < steps; ++i) {
                vote[i] += std::log((left[i][answer] + leastLeft) / (single[answer] + leastLeft));
            }
        }
    }
    DelayScan best;
    double bestVote = 0.0;
    for (std::size_t i = 1; i + 1 < steps; ++i) {
        // A minimum at the end of the range is a shape mended, not an interval.
        if (vote[i] > vote[i - 1] || vote[i] > vote[i + 1] || vote[i] >= 0.0) {
            continue;
        }
        const double delay = shortestNewFrameMs + static_cast<double>(i) * stepMs;
        // Starts that keep to the delay count for more than the squares: a wrong shape mends itself
        // with any.
        const auto rhythm = commonRhythm(
            profile.starts(delay), {delay - 1.5 * stepMs, delay + 1.5 * stepMs}, profile.presses());
        const bool isBetter = rhythm.has_value() == best.rhythm.has_value() ? vote[i] < bestVote
                                                                            : rhythm.has_value();
        if (isBetter) {
            bestVote = vote[i];
            best = {DelayProfile::sumOf(left[i]), delay, rhythm};
        }
    }
    return best;
}

} // namespace

StepsEvidence newFrameFromSteps(std::span<const TracedAnswer> answers)
{
    if (answers.empty()) {
        return {};
    }
    const std::vector<DelayProfile> profiles = delayProfiles(answers);
    const double stepMs = std::clamp(0.5 * answers.front().trace.camera.frameIntervalMs, 0.6, 1.2);
    StepsEvidence evidence {infinite, infinite, std::nullopt};
    DelayScan best;
    for (const DelayProfile& profile : profiles) {
        evidence.oneStep = std::min(evidence.oneStep, profile.singleSquares());
        const DelayScan scan = scanDelays(profile, stepMs);
        const bool isBetter = scan.rhythm.has_value() == best.rhythm.has_value()
            ? scan.squares < best.squares
            : scan.rhythm.has_value();
        best = isBetter ? scan : best;
    }
    evidence.twoSteps = std::min(best.squares, evidence.oneStep);
    constexpr double clearlyBetter = 0.8;
    if (best.rhythm) {
        evidence.interval = best.rhythm;
        evidence.isRhythm = true;
    } else if (best.delayMs != 0.0 && evidence.twoSteps <= clearlyBetter * evidence.oneStep) {
        evidence.interval = Interval {best.delayMs, stepMs};
    }
    return evidence;
}

std::optional<PictureRhythm> newFrameFromRhythm(
    std::span<const TracedAnswer> answers, std::optional<double> toldMs)
{
    if (answers.empty()) {
        return std::nullopt;
    }
    const ShapeTable table(guessedShapes[1], answers.front().trace.camera.exposureMs);
    const std::vector<double> none {0.0};
    std::vector<double> starts;
    for (const TracedAnswer& answer : answers) {
        if (const auto fit = fitAnswer(answer.trace, answer.window, table, none)) {
            starts.push_back(fit->startMs);
        }
    }
    const auto rhythm
        = commonRhythm(starts, {shortestNewFrameMs, longestNewFrameMs}, pressTimes(answers));
    if (!rhythm || (toldMs && rhythm->ms > mostOfTold * *toldMs)) {
        return std::nullopt;
    }
    if (toldMs) {
        return withTold(*rhythm, *toldMs);
    }
    // A few answers tell the multiple.
    constexpr std::size_t answersTried = 24;
    const auto profiles = delayProfiles(answers.first(std::min(answersTried, answers.size())));
    if (const auto mixed = ofMixedSteps(profiles, *rhythm)) {
        return PictureRhythm {*rhythm, true, mixed};
    }
    const double multiple = bestMultiple(profiles, rhythm->ms);
    const Interval interval {multiple * rhythm->ms, multiple * rhythm->standardMs};
    return PictureRhythm {interval, false, interval};
}

} // namespace twinlamp::measure

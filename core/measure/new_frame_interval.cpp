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

// The rhythm of the answers' starts is that of new pictures, or of a panel that shows each of them
// more than once: the second steps tell which multiple it is.
Interval multipleOfRhythm(const std::vector<DelayProfile>& profiles, Interval rhythm)
{
    double best = std::numeric_limits<double>::infinity();
    double bestMultiple = 1.0;
    for (const DelayProfile& profile : profiles) {
        constexpr int mostMultiple = 4;
        for (int times = 1; times <= mostMultiple && times * rhythm.ms <= longestNewFrameMs;
             ++times) {
            const double multiple = times;
            // A longer interval has to explain the answers clearly better: a lost picture looks
            // like one.
            constexpr double preference = 1.25;
            const double squares
                = profile.squares(multiple * rhythm.ms) * (multiple > 1.0 ? preference : 1.0);
            if (squares < best) {
                best = squares;
                bestMultiple = multiple;
            }
        }
    }
    return {bestMultiple * rhythm.ms, bestMultiple * rhythm.standardMs};
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
        const auto rhythm
            = commonRhythm(profile.starts(delay), {delay - 1.5 * stepMs, delay + 1.5 * stepMs});
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

std::optional<Interval> newFrameFromRhythm(std::span<const TracedAnswer> answers)
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
    const auto rhythm = commonRhythm(starts, {shortestNewFrameMs, longestNewFrameMs});
    if (!rhythm) {
        return std::nullopt;
    }
    // A few answers tell the multiple.
    constexpr std::size_t answersTried = 16;
    const auto some = answers.first(std::min(answersTried, answers.size()));
    return multipleOfRhythm(delayProfiles(some), *rhythm);
}

} // namespace twinlamp::measure

// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/accuracy/likelihood_fit.h"

#include "tests/accuracy/small_matrix.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <utility>

namespace twinlamp::accuracy {

namespace {

using Shape = std::array<double, 2>; // ramp, response; ms

constexpr double tickMs = 0.004;

/// Light after a change, tick by tick: tau y' = ramp - y by the implicit midpoint rule.
class Response
{
public:
    Response(Shape shape, double exposureMs)
        : m_exposureMs(exposureMs)
    {
        const double ramp = std::max(std::abs(shape[0]), tickMs);
        const double tau = std::max(std::abs(shape[1]), tickMs);
        const double endMs = ramp + 14.0 * tau;
        double light = 0.0;
        double sum = 0.0;
        const auto ticks = static_cast<int>(std::ceil(endMs / tickMs));
        for (int tick = 0; tick < ticks; ++tick) {
            const double t = tick * tickMs;
            m_light.push_back(light);
            m_sum.push_back(sum);
            const double goal = std::min(1.0, (t + 0.5 * tickMs) / ramp);
            const double half = 0.5 * tickMs / tau;
            const double next = (light * (1.0 - half) + 2.0 * half * goal) / (1.0 + half);
            sum += 0.5 * tickMs * (light + next);
            light = next;
        }
        m_light.push_back(1.0);
        m_sum.push_back(sum);
    }

    /// Mean over an exposure that starts so long after the change began.
    [[nodiscard]] double seen(double startMs) const
    {
        return (sumTo(startMs + m_exposureMs) - sumTo(startMs)) / m_exposureMs;
    }

    /// Time after the change began at which a tenth is made.
    [[nodiscard]] double tenthMs() const
    {
        const auto past = std::ranges::lower_bound(m_light, 0.1);
        const auto i = static_cast<std::size_t>(past - m_light.begin());
        const double part = (0.1 - m_light[i - 1]) / (m_light[i] - m_light[i - 1]);
        return (static_cast<double>(i - 1) + part) * tickMs;
    }

private:
    [[nodiscard]] double sumTo(double ms) const
    {
        if (ms <= 0.0) {
            return 0.0;
        }
        const double place = ms / tickMs;
        const auto last = static_cast<double>(m_sum.size() - 1);
        if (place >= last) {
            return m_sum.back() + (place - last) * tickMs;
        }
        const auto i = static_cast<std::size_t>(place);
        return std::lerp(m_sum[i], m_sum[i + 1], place - static_cast<double>(i));
    }

    double m_exposureMs;
    std::vector<double> m_light;
    std::vector<double> m_sum;
};

/// Sum of squared residuals with the best levels, for a change that began at `beganMs`.
double misfit(const AnswerFrames& frames, const Response& response, double beganMs)
{
    double n = 0.0;
    double x = 0.0;
    double xx = 0.0;
    double y = 0.0;
    double xy = 0.0;
    double yy = 0.0;
    for (std::size_t k = 0; k < frames.light.size(); ++k) {
        const double share = response.seen(frames.startMs[k] - beganMs);
        const double light = frames.light[k];
        n += 1.0;
        x += share;
        xx += share * share;
        y += light;
        xy += share * light;
        yy += light * light;
    }
    const double spread = n * xx - x * x;
    const double step = (n * xy - x * y) / spread;
    const double level = (y - step * x) / n;
    return yy - level * y - step * xy;
}

struct Began
{
    double ms = 0.0;
    double misfit = 0.0;
};

/// Lowest misfit over the start of the change: a dense grid over all frames, then golden section.
Began bestStart(const AnswerFrames& frames, const Response& response)
{
    constexpr double gridMs = 1.0;
    Began best {frames.startMs.front(), 1e300};
    const double spareMs = 5.0;
    const double firstMs = frames.startMs.front() + spareMs;
    const auto points
        = static_cast<int>(std::ceil((frames.startMs.back() - spareMs - firstMs) / gridMs));
    for (int i = 0; i < points; ++i) {
        const double ms = firstMs + i * gridMs;
        const double value = misfit(frames, response, ms);
        if (value < best.misfit) {
            best = {ms, value};
        }
    }
    constexpr double golden = 0.6180339887498949;
    double low = best.ms - gridMs;
    double high = best.ms + gridMs;
    while (high - low > 1e-6) {
        const double left = high - golden * (high - low);
        const double right = low + golden * (high - low);
        if (misfit(frames, response, left) < misfit(frames, response, right)) {
            high = right;
        } else {
            low = left;
        }
    }
    return {0.5 * (low + high), misfit(frames, response, 0.5 * (low + high))};
}

/// Simplex search for the lowest value.
Shape lowest(const std::function<double(Shape)>& value, Shape start)
{
    std::vector<std::pair<double, Shape>> corners;
    for (const Shape corner :
        {start, Shape {1.4 * start[0] + 0.1, start[1]}, Shape {start[0], 1.4 * start[1] + 0.1}}) {
        corners.emplace_back(value(corner), corner);
    }
    const auto towards = [](Shape from, Shape to, double amount) {
        return Shape {std::lerp(from[0], to[0], amount), std::lerp(from[1], to[1], amount)};
    };
    constexpr int steps = 50;
    for (int i = 0; i < steps; ++i) {
        std::ranges::sort(corners, {}, &std::pair<double, Shape>::first);
        auto& worst = corners[2];
        const Shape middle = towards(corners[0].second, corners[1].second, 0.5);
        const auto tried = [&](double amount) {
            const Shape shape = towards(worst.second, middle, amount);
            return std::pair(value(shape), shape);
        };
        auto moved = tried(2.0);
        if (moved.first < corners[0].first) {
            const auto farther = tried(3.0);
            moved = farther.first < moved.first ? farther : moved;
        } else if (moved.first >= corners[1].first) {
            moved = tried(moved.first < worst.first ? 1.5 : 0.5);
        }
        if (moved.first < worst.first) {
            worst = moved;
            continue;
        }
        for (std::size_t c = 1; c < corners.size(); ++c) {
            corners[c].second = towards(corners[0].second, corners[c].second, 0.5);
            corners[c].first = value(corners[c].second);
        }
    }
    return std::ranges::min_element(corners, {}, &std::pair<double, Shape>::first)->second;
}

/// First light of all answers under one shape.
std::vector<double> firstLights(
    const std::vector<AnswerFrames>& answers, Shape shape, double exposureMs, double& misfitSum)
{
    const Response response(shape, exposureMs);
    std::vector<double> firsts;
    misfitSum = 0.0;
    for (const AnswerFrames& frames : answers) {
        const Began began = bestStart(frames, response);
        misfitSum += began.misfit;
        firsts.push_back(began.ms + response.tenthMs());
    }
    return firsts;
}

/// Variance of one start under a known shape, from the curvature of its misfit.
double startVariance(
    const AnswerFrames& frames, const Response& response, double beganMs, double noiseSd)
{
    constexpr double stepMs = 0.05;
    const double curvature
        = (misfit(frames, response, beganMs + stepMs) - 2.0 * misfit(frames, response, beganMs)
              + misfit(frames, response, beganMs - stepMs))
        / (stepMs * stepMs);
    return 2.0 * noiseSd * noiseSd / curvature;
}

} // namespace

LikelihoodFit fitByLikelihood(
    const std::vector<AnswerFrames>& answers, double exposureMs, double noiseSd)
{
    const auto total = [&](Shape shape) {
        double sum = 0.0;
        static_cast<void>(firstLights(answers, shape, exposureMs, sum));
        return sum / (noiseSd * noiseSd);
    };
    const Shape shape = lowest(total, {2.0, 1.0});
    // Curvature of the profile, and how first light moves with the shape.
    constexpr double stepMs = 0.05;
    const auto moved = [&](double ramp, double tau) {
        return Shape {shape[0] + ramp * stepMs, shape[1] + tau * stepMs};
    };
    const auto second = [&](double a, double b, double c, double d) {
        return (a - b - c + d) / (stepMs * stepMs);
    };
    const double here = total(shape);
    Matrix<2> information {};
    information[0][0] = 0.5 * second(total(moved(1, 0)), here, here, total(moved(-1, 0)));
    information[1][1] = 0.5 * second(total(moved(0, 1)), here, here, total(moved(0, -1)));
    information[0][1] = information[1][0] = 0.125
        * second(
            total(moved(1, 1)), total(moved(1, -1)), total(moved(-1, 1)), total(moved(-1, -1)));
    const auto covariance = inverse(information).value_or(Matrix<2> {});
    double ignored = 0.0;
    const auto firsts = firstLights(answers, shape, exposureMs, ignored);
    const auto byRamp = firstLights(answers, moved(1, 0), exposureMs, ignored);
    const auto byTau = firstLights(answers, moved(0, 1), exposureMs, ignored);
    const Response response(shape, exposureMs);
    LikelihoodFit fit {std::abs(shape[0]), std::abs(shape[1]), {}};
    for (std::size_t i = 0; i < answers.size(); ++i) {
        const Vec<2> slope {(byRamp[i] - firsts[i]) / stepMs, (byTau[i] - firsts[i]) / stepMs};
        const double variance
            = startVariance(answers[i], response, firsts[i] - response.tenthMs(), noiseSd)
            + dot(slope, product(covariance, slope));
        fit.answers.push_back({firsts[i], std::sqrt(variance)});
    }
    return fit;
}

} // namespace twinlamp::accuracy

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/lamp_response.h"

#include "core/onset/level_window.h"
#include "core/onset/step_shape.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <limits>
#include <optional>
#include <utility>
#include <vector>

namespace twinlamp::onset {

namespace {

constexpr std::size_t mostEdges = 24; // enough to tell a tail; more only cost time
constexpr std::size_t levelFrames = 24;
constexpr std::size_t framesBefore = 2;
// As for an onset: what codecs and an uneven lamp do to a frame beyond its noise, share of the
// step.
constexpr double disturbanceShare = 0.004;
// Neighbouring frames share a codec's errors: half of what they seem to say is said. Judged, not
// tuned: uncoded clips would allow 1, which changed no class of the run below by more than 0.2 %.
constexpr double tempering = 0.5;
// A tail has to be likelier than none by this much (log, tempered): 2 called one lamp of 50 slow
// that was not, 3 none (LampResponse.OfALampThatSwitchesAtOnceHasNoTail).
constexpr double tellingGain = 3.0;
constexpr double worthACloserLook = 1.0;
// As likely as not. Of 0.2 and 0.5, on random scenes of seeds 101 to 120 (480 presses a class,
// without panel): 88.1 and 90.6 % of the truths of lamps with an afterglow inside, classes of lamps
// that switch at once as they were.
constexpr double shareOfSlowLamps = 0.5;

/// One edge ready to be compared: shares of the step in the frames around it.
struct Window
{
    std::vector<double> startMs; ///< of each frame, after the first
    std::vector<double> share;
    double noise = 0.0;
};

/// Mean share of the change over an exposure that starts x after it, from a table: it is asked for
/// millions of times.
class BoxedStep
{
public:
    BoxedStep(const TimedTrace& trace, double tauMs, double toMs)
        : m_fromMs(-trace.camera.exposureMs)
        , m_stepMs(trace.camera.frameIntervalMs / perFrame)
    {
        const StepShape shape {trace.rows.smearMs, tauMs};
        const auto count = static_cast<std::size_t>((toMs - m_fromMs) / m_stepMs) + 2;
        for (std::size_t i = 0; i < count; ++i) {
            m_share.push_back(shape.meanOver(
                m_fromMs + static_cast<double>(i) * m_stepMs, trace.camera.exposureMs));
        }
    }

    [[nodiscard]] double at(double ms) const
    {
        const double place = (ms - m_fromMs) / m_stepMs;
        if (place <= 0.0) {
            return 0.0;
        }
        const auto i = static_cast<std::size_t>(place);
        if (i + 1 >= m_share.size()) {
            return m_share.back();
        }
        const double part = place - static_cast<double>(i);
        return (1.0 - part) * m_share[i] + part * m_share[i + 1];
    }

private:
    static constexpr double perFrame = 128.0;
    double m_fromMs;
    double m_stepMs;
    std::vector<double> m_share;
};

std::optional<Window> windowOf(
    const TimedTrace& trace, std::span<const CoarseEdge> edges, std::size_t i)
{
    const std::size_t frame = edges[i].frame;
    const std::size_t previous = i == 0 ? 0 : edges[i - 1].frame + 1;
    const std::size_t next = i + 1 < edges.size() ? edges[i + 1].frame - 1 : trace.frameCount();
    constexpr std::size_t fewestFrames = 9;
    if (next < frame + fewestFrames || frame < previous + framesBefore + 2) {
        return std::nullopt;
    }
    const std::size_t tail = std::min(levelFrames, (next - frame) / 3);
    const std::size_t first = frame - framesBefore;
    const Level before
        = levelOf(trace.light, std::max(previous, first - std::min(first, levelFrames)), first);
    const Level after
        = levelOf(trace.light, frame + tail, std::min(next, frame + tail + levelFrames));
    const double step = after.light - before.light;
    if (before.frames == 0 || after.frames == 0 || step == 0.0) {
        return std::nullopt;
    }
    Window window;
    const double noise = std::max(before.noise, after.noise);
    window.noise = std::sqrt(
        std::pow(std::hypot(noise, before.standardError(), after.standardError()) / step, 2)
        + disturbanceShare * disturbanceShare);
    for (std::size_t k = first; k < frame + tail; ++k) {
        if (std::isfinite(trace.light[k])) {
            window.startMs.push_back(trace.startMs[k] - trace.startMs[first]);
            window.share.push_back((static_cast<double>(trace.light[k]) - before.light) / step);
        }
    }
    return window;
}

std::vector<Window> windowsOf(const TimedTrace& trace, std::span<const CoarseEdge> edges, Edge kind)
{
    std::vector<Window> windows;
    for (std::size_t i = 0; i < edges.size() && windows.size() < mostEdges; ++i) {
        if (edges[i].edge == kind) {
            if (auto window = windowOf(trace, edges, i)) {
                windows.push_back(std::move(*window));
            }
        }
    }
    return windows;
}

/// A tail, and how well it explains all edges at their best instants.
struct Tail
{
    double share = 0.0;
    double tauFrames = 0.0;
    double logLikelihood = 0.0;
    double meanInstantMs = 0.0; ///< of the edges, each after its window's first frame
};

class TailFit
{
public:
    TailFit(const TimedTrace& trace, const std::vector<Window>& windows)
        : m_trace(trace)
        , m_windows(windows)
        , m_frameMs(trace.camera.frameIntervalMs)
        , m_atOnce(trace, 0.0, reachMs())
    {
    }

    [[nodiscard]] Tail atOnce() const { return judged({}, nullptr); }

    /// All shares of one time constant.
    void judge(double tauFrames, std::span<const double> shares, std::vector<Tail>& tails) const
    {
        const BoxedStep slow(m_trace, tauFrames * m_frameMs, reachMs());
        for (const double share : shares) {
            tails.push_back(judged({share, tauFrames}, &slow));
        }
    }

private:
    [[nodiscard]] double reachMs() const
    {
        return m_frameMs * static_cast<double>(levelFrames + framesBefore + 2);
    }

    struct Instant
    {
        double ms = 0.0;
        double logLikelihood = -std::numeric_limits<double>::infinity();
    };

    [[nodiscard]] Tail judged(Tail tail, const BoxedStep* slow) const
    {
        for (const Window& window : m_windows) {
            const Instant best = bestInstant(window, tail.share, slow);
            tail.logLikelihood += tempering * best.logLikelihood;
            tail.meanInstantMs += best.ms / static_cast<double>(m_windows.size());
        }
        return tail;
    }

    [[nodiscard]] double logLikelihood(
        const Window& window, double share, const BoxedStep* slow, double instantMs) const
    {
        double sum = 0.0;
        for (std::size_t i = 0; i < window.share.size(); ++i) {
            const double x = window.startMs[i] - instantMs;
            double expected = (1.0 - share) * m_atOnce.at(x);
            if (slow != nullptr) {
                expected += share * slow->at(x);
            }
            const double miss = (window.share[i] - expected) / window.noise;
            sum -= miss * miss < 16.0 ? 0.5 * miss * miss : 4.0 * std::abs(miss) - 8.0;
        }
        return sum;
    }

    [[nodiscard]] Instant bestInstant(
        const Window& window, double share, const BoxedStep* slow) const
    {
        double low = -m_trace.rows.smearMs;
        double high = m_frameMs * static_cast<double>(framesBefore + 1);
        Instant best;
        const auto keepBetter = [&](double instant) {
            const double likelihood = logLikelihood(window, share, slow, instant);
            if (likelihood > best.logLikelihood) {
                best = {instant, likelihood};
            }
        };
        // A short exposure slips through any grid: what each frame's share says of a lamp that
        // switches at once is asked as well.
        const double exposure = m_trace.camera.exposureMs;
        for (std::size_t i = 0; i < window.share.size(); ++i) {
            if (window.startMs[i] < high && window.share[i] > 0.0 && window.share[i] < 1.0) {
                keepBetter(window.startMs[i] + exposure * (1.0 - window.share[i]));
            }
        }
        constexpr int passes = 4;
        for (int pass = 0; pass < passes; ++pass) {
            constexpr int points = 20;
            const double step = (high - low) / points;
            for (int i = 0; i <= points; ++i) {
                keepBetter(low + i * step);
            }
            low = best.ms - step;
            high = best.ms + step;
        }
        return best;
    }

    const TimedTrace& m_trace;
    const std::vector<Window>& m_windows;
    double m_frameMs;
    BoxedStep m_atOnce;
};

constexpr std::array tailShares {0.1, 0.2, 0.35, 0.5, 0.7, 0.85, 1.0};

std::vector<Tail> allTails(const TailFit& fit)
{
    std::vector<Tail> tails;
    // From a twenty-fifth of a frame to seven frames.
    constexpr double shortest = 0.04;
    constexpr double ratio = 1.6;
    constexpr int steps = 12;
    double tau = shortest;
    for (int i = 0; i < steps; ++i) {
        fit.judge(tau, tailShares, tails);
        tau *= ratio;
    }
    return tails;
}

Tail bestOf(const std::vector<Tail>& tails)
{
    return *std::ranges::max_element(tails, {}, &Tail::logLikelihood);
}

/// The best time constant of a share, closer and closer around the coarse one. Share and time
/// constant stand for each other along a narrow ridge, so that no share may be left on a coarse
/// point.
Tail sharpened(const TailFit& fit, Tail best)
{
    constexpr std::array ratios {1.27, 1.13, 1.06, 1.03};
    for (const double ratio : ratios) {
        std::vector<Tail> tails {best};
        for (const double factor : {1.0 / ratio, ratio}) {
            fit.judge(best.tauFrames * factor, std::array {best.share}, tails);
        }
        best = bestOf(tails);
    }
    return best;
}

void sharpenEachShare(const TailFit& fit, std::vector<Tail>& tails)
{
    for (const double share : tailShares) {
        std::vector<Tail> ofShare;
        std::ranges::copy_if(tails, std::back_inserter(ofShare),
            [share](const Tail& tail) { return tail.share == share; });
        tails.push_back(sharpened(fit, bestOf(ofShare)));
    }
    for (const double step : {0.06, 0.03}) {
        const Tail best = bestOf(tails);
        for (const double share : {best.share - step, best.share + step}) {
            std::vector<Tail> there;
            fit.judge(best.tauFrames, std::array {std::clamp(share, 0.02, 1.0)}, there);
            tails.push_back(sharpened(fit, there.front()));
        }
    }
}

/// Spread of the mean onset over the tails that the edges allow, from the one that is used.
double doubtMs(const std::vector<Tail>& tails, const Tail& atOnce, const Tail& used)
{
    const double top = std::max(used.logLikelihood, atOnce.logLikelihood);
    const double weightEach = shareOfSlowLamps / static_cast<double>(tails.size());
    double weight = (1.0 - shareOfSlowLamps) * std::exp(atOnce.logLikelihood - top);
    double squares = weight * std::pow(atOnce.meanInstantMs - used.meanInstantMs, 2);
    for (const Tail& tail : tails) {
        const double w = weightEach * std::exp(tail.logLikelihood - top);
        weight += w;
        squares += w * std::pow(tail.meanInstantMs - used.meanInstantMs, 2);
    }
    return std::sqrt(squares / weight);
}

// Likelihood of the best tail near a known one, or of none.
double bestNear(
    const TimedTrace& trace, const std::vector<Window>& windows, const LampResponse& response)
{
    if (windows.empty()) {
        return 0.0;
    }
    const TailFit fit(trace, windows);
    std::vector<Tail> tails {fit.atOnce()};
    // An exposure taken too long hides a short tail: then one is looked for at a tenth of a frame.
    const double tauFrames
        = response.isSlow() ? response.tauMs / trace.camera.frameIntervalMs : 0.1;
    const double share = response.isSlow() ? response.tailShare : 1.0;
    const std::array shares {std::max(0.1, share - 0.25), share, std::min(1.0, share + 0.25)};
    for (const double factor : {0.4, 0.63, 0.8, 1.0, 1.25, 1.6, 2.5}) {
        fit.judge(tauFrames * factor, shares, tails);
    }
    return bestOf(tails).logLikelihood;
}

// Mean and deviation of values with their log weights.
TailedExposure weighed(const std::vector<double>& values, const std::vector<double>& logs)
{
    const double top = *std::ranges::max_element(logs);
    double weight = 0.0;
    double first = 0.0;
    double second = 0.0;
    for (std::size_t i = 0; i < values.size(); ++i) {
        const double w = std::exp(logs[i] - top);
        weight += w;
        first += w * values[i];
        second += w * values[i] * values[i];
    }
    const double mean = first / weight;
    return {mean, std::sqrt(std::max(0.0, second / weight - mean * mean))};
}

} // namespace

std::optional<TailedExposure> exposureUnderTails(const TimedTrace& trace,
    std::span<const CoarseEdge> edges, const LampResponse& on, const LampResponse& off)
{
    const std::vector<Window> onWindows = windowsOf(trace, edges, Edge::On);
    const std::vector<Window> offWindows = windowsOf(trace, edges, Edge::Off);
    if (onWindows.empty() && offWindows.empty()) {
        return std::nullopt;
    }
    TimedTrace tried = trace;
    const auto likelihoods = [&](const std::vector<double>& exposures) {
        std::vector<double> logs;
        for (const double exposure : exposures) {
            tried.camera.exposureMs = exposure;
            logs.push_back(bestNear(tried, onWindows, on) + bestNear(tried, offWindows, off));
        }
        return logs;
    };
    constexpr int points = 11;
    constexpr int passes = 2;
    double low = 0.15 * trace.camera.frameIntervalMs;
    double high = trace.camera.frameIntervalMs;
    TailedExposure found;
    for (int pass = 0; pass < passes; ++pass) {
        std::vector<double> exposures;
        const double step = (high - low) / (points - 1);
        for (int i = 0; i < points; ++i) {
            exposures.push_back(low + i * step);
        }
        found = weighed(exposures, likelihoods(exposures));
        // Between two points nothing was asked.
        found.standardMs = std::hypot(found.standardMs, step / std::sqrt(12.0));
        const double reach = std::max(2.5 * found.standardMs, step);
        low = std::max(0.05 * trace.camera.frameIntervalMs, found.exposureMs - reach);
        high = std::min(trace.camera.frameIntervalMs, found.exposureMs + reach);
    }
    return found;
}

double LampResponse::meanOver(double startMs, double exposureMs, double smearMs) const
{
    const double quick = StepShape {smearMs, 0.0}.meanOver(startMs, exposureMs);
    return isSlow() ? (1.0 - tailShare) * quick
            + tailShare * StepShape {smearMs, tauMs}.meanOver(startMs, exposureMs)
                    : quick;
}

LampResponse fitLampResponse(const TimedTrace& trace, std::span<const CoarseEdge> edges, Edge kind)
{
    const std::vector<Window> windows = windowsOf(trace, edges, kind);
    if (windows.empty() || trace.camera.exposureMs <= 0.0) {
        return {};
    }
    const TailFit fit(trace, windows);
    const Tail atOnce = fit.atOnce();
    std::vector<Tail> tails = allTails(fit);
    if (bestOf(tails).logLikelihood > atOnce.logLikelihood + worthACloserLook) {
        sharpenEachShare(fit, tails);
    }
    const Tail best = bestOf(tails);
    const double gain = best.logLikelihood - atOnce.logLikelihood;
    if (gain < tellingGain) {
        return {0.0, 0.0, doubtMs(tails, atOnce, atOnce), gain};
    }
    return {best.share, best.tauFrames * trace.camera.frameIntervalMs, doubtMs(tails, atOnce, best),
        gain};
}

} // namespace twinlamp::onset

// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/accuracy/edge_bound.h"

#include "core/film/trace_render.h"
#include "tests/accuracy/small_matrix.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::accuracy {

std::optional<double> edgeTimeVariance(std::span<const FrameSlope> frames)
{
    Matrix<3> information {};
    for (const FrameSlope& frame : frames) {
        const Vec<3> slope {frame.perMs, 1.0 - frame.share, frame.share};
        addOuter(information, slope, slope, 1.0 / frame.variance);
    }
    if (information[0][0] <= 0.0) {
        return std::nullopt;
    }
    const auto covariance = inverse(information);
    return covariance ? std::optional((*covariance)[0][0]) : std::nullopt;
}

namespace {

using film::Scene;

constexpr std::size_t commonCount = 3; // response up, response down, scan time
constexpr std::size_t ownCount = 4; // arrival, share of the first picture, two levels

/// Noise-free light of both lamp regions, and where first light is.
struct Film
{
    std::vector<float> light;
    std::vector<std::optional<double>> firstLightMs;
};

Film filmOf(const Scene& scene, bool goggle, bool withTruth)
{
    const film::Studio studio(scene);
    const RectPx region = goggle ? studio.regions().goggle : studio.regions().reference;
    Film film {film::renderRegion(studio, {region}, film::TraceNoise::None, 0).mean, {}};
    if (withTruth) {
        for (const Press& press : film::truthOf(studio).presses) {
            film.firstLightMs.push_back(
                press.firstLight ? std::optional(toMs(*press.firstLight)) : std::nullopt);
        }
    }
    return film;
}

double noiseVariance(const Scene& scene, double light, std::int64_t pixels)
{
    const film::Camera& camera = scene.camera;
    return (camera.shotNoise * camera.shotNoise * light + camera.readNoise * camera.readNoise)
        / static_cast<double>(pixels);
}

/// Derivative of light and first light with respect to one parameter of the scene.
struct Slope
{
    std::vector<double> light;
    std::vector<std::optional<double>> firstLight;
};

template<typename Change> Slope slopeOf(const Scene& scene, bool goggle, double step, Change change)
{
    Scene less = scene;
    Scene more = scene;
    change(less, -step);
    change(more, step);
    const Film low = filmOf(less, goggle, goggle);
    const Film high = filmOf(more, goggle, goggle);
    Slope slope;
    for (std::size_t k = 0; k < std::min(low.light.size(), high.light.size()); ++k) {
        slope.light.push_back(
            (static_cast<double>(high.light[k]) - static_cast<double>(low.light[k]))
            / (2.0 * step));
    }
    for (std::size_t i = 0; i < low.firstLightMs.size(); ++i) {
        const auto& a = low.firstLightMs[i];
        const auto& b = high.firstLightMs[i];
        slope.firstLight.push_back(a && b ? std::optional((*b - *a) / (2.0 * step)) : std::nullopt);
    }
    return slope;
}

/// The same scene with its random parts made fixed, so that a film of it can be repeated with one
/// thing changed.
Scene settled(const Scene& scene, const film::Studio& studio)
{
    Scene fixed = scene;
    fixed.durationMs = studio.durationMs();
    fixed.lamps.programme.kind = film::ProgrammeKind::List;
    fixed.lamps.programme.edgesMs.clear();
    for (const film::LampEdge& edge : studio.edges()) {
        fixed.lamps.programme.edgesMs.push_back(edge.ms);
    }
    // Phase 0 may be drawn again: keep what was drawn, away from both ends of the frame.
    fixed.linkCamera.phase.ms = studio.link().phaseMs();
    return fixed;
}

struct Frames
{
    std::size_t first = 0;
    std::size_t last = 0;
};

/// Frames that tell of an event: up to 100 ms to both sides, no farther than half the way to its
/// neighbours. The outer levels are seen in it.
Frames framesAround(const std::vector<std::optional<double>>& events, std::size_t i, double frameMs,
    std::size_t count)
{
    constexpr double reachMs = 100.0;
    double before = reachMs;
    double after = reachMs;
    for (const auto& other : events) {
        if (other && *other < *events[i]) {
            before = std::min(before, 0.5 * (*events[i] - *other));
        } else if (other && *other > *events[i]) {
            after = std::min(after, 0.9 * (*other - *events[i]));
        }
    }
    const auto frame = [&](double ms) {
        return static_cast<std::size_t>(std::clamp(ms / frameMs, 0.0, static_cast<double>(count)));
    };
    return {frame(*events[i] - before), frame(*events[i] + after)};
}

std::vector<FrameSlope> frameSlopes(const Scene& scene, const std::vector<float>& light,
    const std::vector<double>& perMs, Frames frames, std::int64_t pixels)
{
    std::vector<FrameSlope> slopes;
    const auto before = static_cast<double>(light[frames.first]);
    const auto after = static_cast<double>(light[frames.last - 1]);
    for (std::size_t k = frames.first; k < frames.last; ++k) {
        const auto value = static_cast<double>(light[k]);
        slopes.push_back(
            {perMs[k], (value - before) / (after - before), noiseVariance(scene, value, pixels)});
    }
    return slopes;
}

/// Variance of each reference onset, ms^2.
std::vector<std::optional<double>> referenceVariances(
    const Scene& scene, const std::vector<std::optional<double>>& onsets, std::int64_t pixels)
{
    const double frameMs = scene.camera.captureRate.intervalMs();
    const std::vector<float> light = filmOf(scene, false, false).light;
    const Slope later = slopeOf(scene, false, 1e-3 * frameMs, [](Scene& changed, double step) {
        for (double& edge : changed.lamps.programme.edgesMs) {
            edge += step;
        }
    });
    std::vector<std::optional<double>> variances;
    std::optional<double> sharpest;
    for (std::size_t i = 0; i < onsets.size(); ++i) {
        const Frames frames = framesAround(onsets, i, frameMs, later.light.size());
        const auto slopes = frameSlopes(scene, light, later.light, frames, pixels);
        variances.push_back(edgeTimeVariance(slopes));
        if (variances.back()) {
            sharpest = std::min(sharpest.value_or(*variances.back()), *variances.back());
        }
    }
    // Within an exposure the bound depends little on where. Far above the sharpest one, the frames
    // saw next to nothing of the edge: it lies in the gap, and that is known.
    constexpr double muchWorse = 4.0;
    const double gapMs = frameMs - scene.camera.exposureMs;
    const double inGap = std::max(gapMs * gapMs / 12.0, muchWorse * sharpest.value_or(0.0));
    for (auto& variance : variances) {
        variance = std::min(variance.value_or(inGap), inGap);
    }
    return variances;
}

/// Information that one press gives, of the clip's common parameters and of its own.
struct PressInformation
{
    Matrix<ownCount> own {};
    Matrix<commonCount, ownCount> mixed {};
    Vec<commonCount> commonGradient {}; ///< of first light
    Vec<ownCount> ownGradient {};
    bool usable = false;
};

/// The goggle's light and its slopes.
struct GoggleFilm
{
    std::vector<float> light;
    std::vector<std::optional<double>> firstLight;
    Slope arrival;
    Slope share;
    std::array<Slope, commonCount> common;
    std::array<bool, commonCount> counts {};
};

GoggleFilm goggleFilm(const Scene& scene)
{
    const double step = 2e-3 * scene.camera.captureRate.intervalMs();
    GoggleFilm film;
    const Film plain = filmOf(scene, true, true);
    film.light = plain.light;
    film.firstLight = plain.firstLightMs;
    film.arrival = slopeOf(scene, true, step, [](Scene& s, double by) { s.link.delayMs += by; });
    // The link camera films later and the link is faster by as much: the pictures come when they
    // came, and the first of them holds less of the edge.
    film.share = slopeOf(scene, true, step, [](Scene& s, double by) {
        *s.linkCamera.phase.ms += by;
        s.link.delayMs -= by;
    });
    const film::Panel& panel = scene.panel;
    film.counts = {panel.riseMs > 2.0 * step, panel.fallMs > 2.0 * step,
        panel.direction != film::Direction::AllAtOnce};
    const std::array<void (*)(Scene&, double), commonCount> changes {
        [](Scene& s, double by) { s.panel.riseMs += by; },
        [](Scene& s, double by) { s.panel.fallMs += by; },
        [](Scene& s, double by) { s.panel.scanMs += by; }};
    for (std::size_t c = 0; c < commonCount; ++c) {
        if (film.counts[c]) {
            film.common[c] = slopeOf(scene, true, step, changes[c]);
        }
    }
    return film;
}

PressInformation pressInformation(const Scene& scene, const GoggleFilm& film, std::size_t i,
    double linkFrameMs, std::int64_t pixels, Matrix<commonCount>& common)
{
    PressInformation press;
    // Next to a tenth the figure jumps by an interval, and has no slope.
    constexpr double steepest = 4.0;
    const auto& arrivalAt = film.arrival.firstLight[i];
    const auto& shareAt = film.share.firstLight[i];
    if (!film.firstLight[i] || !arrivalAt || !shareAt || std::abs(*shareAt) > steepest) {
        return press;
    }
    const Frames frames = framesAround(
        film.firstLight, i, scene.camera.captureRate.intervalMs(), film.arrival.light.size());
    const auto slopes = frameSlopes(scene, film.light, film.arrival.light, frames, pixels);
    for (std::size_t k = frames.first; k < frames.last; ++k) {
        const FrameSlope& frame = slopes[k - frames.first];
        const Vec<ownCount> own {frame.perMs, film.share.light[k], 1.0 - frame.share, frame.share};
        Vec<commonCount> shared {};
        for (std::size_t c = 0; c < commonCount; ++c) {
            shared[c] = film.counts[c] ? film.common[c].light[k] : 0.0;
        }
        addOuter(press.own, own, own, 1.0 / frame.variance);
        addOuter(press.mixed, shared, own, 1.0 / frame.variance);
        addOuter(common, shared, shared, 1.0 / frame.variance);
    }
    // Where the first picture is whole nothing tells its share: it is anywhere in a link frame.
    press.own[1][1] += 12.0 / (linkFrameMs * linkFrameMs);
    press.ownGradient = {*arrivalAt, *shareAt, 0.0, 0.0};
    for (std::size_t c = 0; c < commonCount; ++c) {
        press.commonGradient[c] = film.counts[c] ? film.common[c].firstLight[i].value_or(0.0) : 0.0;
    }
    press.usable = true;
    return press;
}

/// Variances of first light, ms^2: the common parameters eliminated by Schur's complement, for each
/// press has a block of its own.
std::vector<std::optional<double>> firstLightVariances(
    const std::vector<PressInformation>& presses, Matrix<commonCount> common)
{
    std::vector<std::optional<Matrix<ownCount>>> inverses;
    for (const PressInformation& press : presses) {
        inverses.push_back(press.usable ? inverse(press.own) : std::nullopt);
        if (!inverses.back()) {
            continue;
        }
        for (std::size_t a = 0; a < commonCount; ++a) {
            const Vec<ownCount> solved = product(*inverses.back(), press.mixed[a]);
            for (std::size_t b = 0; b < commonCount; ++b) {
                common[a][b] -= dot(solved, press.mixed[b]);
            }
        }
    }
    for (std::size_t c = 0; c < commonCount; ++c) {
        common[c][c] += common[c][c] > 0.0 ? 0.0 : 1.0; // one that the scene does not have
    }
    const auto covariance = inverse(common);
    std::vector<std::optional<double>> variances(presses.size());
    for (std::size_t i = 0; covariance && i < presses.size(); ++i) {
        if (inverses[i]) {
            const PressInformation& press = presses[i];
            const Vec<ownCount> solved = product(*inverses[i], press.ownGradient);
            Vec<commonCount> rest = press.commonGradient;
            for (std::size_t c = 0; c < commonCount; ++c) {
                rest[c] -= dot(press.mixed[c], solved);
            }
            variances[i] = dot(press.ownGradient, solved) + dot(rest, product(*covariance, rest));
        }
    }
    return variances;
}

} // namespace

EdgeBounds edgeBounds(const Scene& given)
{
    const film::Studio studio(given);
    const Scene scene = settled(given, studio);
    std::vector<std::optional<double>> onsets;
    for (const film::LampEdge& edge : studio.edges()) {
        onsets.emplace_back(edge.ms);
    }
    const auto reference = referenceVariances(scene, onsets, studio.regions().reference.areaPx());
    const GoggleFilm film = goggleFilm(scene);
    Matrix<commonCount> common {};
    std::vector<PressInformation> presses;
    for (std::size_t i = 0; i < onsets.size(); ++i) {
        presses.push_back(pressInformation(scene, film, i, studio.link().frameIntervalMs(),
            studio.regions().goggle.areaPx(), common));
    }
    const auto goggle = firstLightVariances(presses, common);
    const double frameMs = scene.camera.captureRate.intervalMs();
    EdgeBounds bounds;
    for (std::size_t i = 0; i < onsets.size(); ++i) {
        bounds.push_back(reference[i] && goggle[i]
                ? std::optional(std::sqrt(*reference[i] + *goggle[i]) / frameMs)
                : std::nullopt);
    }
    return bounds;
}

} // namespace twinlamp::accuracy

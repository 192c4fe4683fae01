// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/accuracy/scene_classes.h"

#include "core/film/link_model.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace twinlamp::accuracy {

using film::Direction;

namespace {

constexpr int widthPx = 320;
constexpr int heightPx = 180;

double frameMs(const Trial& trial) { return trial.scene.camera.captureRate.intervalMs(); }

double linkFrameMs(const Trial& trial) { return trial.scene.linkCamera.frameRate.intervalMs(); }

void setCapture(Trial& trial, std::int64_t rateHz, double exposureShare, bool told)
{
    film::Camera& camera = trial.scene.camera;
    camera.captureRate = {rateHz, 1};
    camera.exposureMs = exposureShare * camera.captureRate.intervalMs();
    trial.told.exposureMs = told ? std::optional(camera.exposureMs) : std::nullopt;
}

/// A picture whose rows are read out during `share` of the frame interval, either way round.
void setRollingShutter(Draw& draw, Trial& trial, double share)
{
    const double lineUs = 1e3 * share * frameMs(trial) / heightPx;
    trial.scene.camera.lineTimeUs = draw.chance(0.8) ? lineUs : -lineUs;
    trial.told.lineTimeUs = trial.scene.camera.lineTimeUs;
}

void drawLink(Draw& draw, Trial& trial)
{
    film::LinkCamera& camera = trial.scene.linkCamera;
    camera.frameRate = {static_cast<std::int64_t>(draw.between(45.0, 131.0)), 1};
    camera.exposureMs = draw.between(0.05, 0.8) * linkFrameMs(trial);
    camera.readoutMs = draw.between(0.0, 0.95) * linkFrameMs(trial);
    camera.clockPpm = draw.between(-100.0, 100.0);
    trial.scene.link.delayMs = draw.between(3.0, 45.0);
}

void drawPanel(Draw& draw, Trial& trial)
{
    film::Panel& panel = trial.scene.panel;
    panel.rect = {120, static_cast<int>(draw.between(15.0, 55.0)), 180, 110};
    panel.brightness = draw.between(0.04, 0.18);
    panel.scanMs = draw.between(0.3, 0.97) * linkFrameMs(trial);
    panel.direction = draw.oneOf({Direction::Down, Direction::Down, Direction::Down, Direction::Up,
        Direction::LeftToRight, Direction::RightToLeft});
    panel.riseMs = draw.between(0.0, 2.0);
    panel.fallMs = draw.between(0.0, 2.0);
    panel.spill = draw.between(0.03, 0.12);
    panel.lampImage.x = draw.between(0.2, 0.8);
    panel.lampImage.y = draw.between(0.2, 0.8);
    panel.lampImage.radiusPx = draw.between(5.0, 15.0);
    panel.lampImage.softEdgePx = draw.between(1.0, 5.0);
    panel.lampImage.brightness = draw.between(0.2, 0.5);
}

Trial commonTrial(Draw& draw, int presses)
{
    Trial trial;
    film::Scene& scene = trial.scene;
    scene.seed = draw.seed();
    scene.widthPx = widthPx;
    scene.heightPx = heightPx;
    scene.lamps.programme.presses = presses;
    scene.lamps.programme.startMs = draw.between(150.0, 300.0);
    scene.lamps.programme.holdMs = {180.0, draw.between(220.0, 420.0)};
    scene.lamps.programme.gapMs = {180.0, draw.between(220.0, 420.0)};
    scene.referenceLamp.x = draw.between(30.0, 90.0);
    scene.referenceLamp.y = draw.between(30.0, 150.0);
    scene.referenceLamp.radiusPx = draw.between(5.0, 14.0);
    scene.referenceLamp.softEdgePx = draw.between(1.0, 5.0);
    scene.referenceLamp.brightness = draw.between(0.25, 0.85);
    scene.room.brightness = draw.between(0.01, 0.1);
    scene.camera.shotNoise = draw.betweenLog(0.005, 0.05);
    scene.camera.readNoise = draw.betweenLog(0.002, 0.02);
    scene.camera.rateErrorPpm = draw.between(-30.0, 30.0);
    drawLink(draw, trial);
    drawPanel(draw, trial);
    return trial;
}

void thousand(Draw& draw, Trial& trial)
{
    setCapture(trial, draw.oneOf<std::int64_t>({960, 1000}), draw.between(0.7, 0.98), true);
}

void thousandUntold(Draw& draw, Trial& trial)
{
    setCapture(trial, draw.oneOf<std::int64_t>({960, 1000}), draw.between(0.7, 0.98), false);
}

void middle(Draw& draw, Trial& trial)
{
    setCapture(trial, draw.oneOf<std::int64_t>({480, 500, 600}), draw.between(0.7, 0.98), true);
}

void rolling(Draw& draw, Trial& trial)
{
    setCapture(trial, 240, draw.between(0.85, 0.95), true);
    setRollingShutter(draw, trial, draw.between(0.4, 0.98));
}

void rollingUntold(Draw& draw, Trial& trial)
{
    rolling(draw, trial);
    trial.told.exposureMs.reset();
}

void lineTimeUntold(Draw& draw, Trial& trial)
{
    rolling(draw, trial);
    trial.told.lineTimeUs.reset();
}

/// One of the capture rates and exposures of a careful tester, told or not.
void anyCapture(Draw& draw, Trial& trial)
{
    setCapture(trial, draw.oneOf<std::int64_t>({240, 480, 960, 1000}), draw.between(0.7, 0.98),
        draw.chance(0.5));
    if (draw.chance(0.5)) {
        setRollingShutter(draw, trial, draw.between(0.3, 0.98));
    }
}

void slowPanel(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    trial.scene.panel.riseMs = draw.between(2.0, 4.0);
    trial.scene.panel.fallMs = draw.between(2.0, 4.0);
}

void overshoot(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    trial.scene.panel.overdrive = draw.between(0.05, 0.4);
    trial.scene.panel.riseMs = draw.between(0.5, 4.0);
    trial.scene.panel.fallMs = draw.between(0.5, 4.0);
}

void freePanel(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    film::Panel& panel = trial.scene.panel;
    panel.refresh = film::RefreshKind::Free;
    panel.refreshRate = {static_cast<std::int64_t>(draw.between(60.0, 145.0)), 1};
    panel.scanMs = draw.between(0.3, 0.97) * panel.refreshRate.intervalMs();
}

void atOnce(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    trial.scene.panel.direction = Direction::AllAtOnce;
}

void jitter(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    film::Link& link = trial.scene.link;
    link.jitter = draw.oneOf(
        {film::JitterKind::Uniform, film::JitterKind::Normal, film::JitterKind::Exponential});
    link.jitterMs = draw.between(0.2, 3.0);
    link.lateShare = draw.between(0.0, 0.1);
    link.lateMs = draw.between(3.0, 20.0);
}

void linkLosses(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    trial.scene.link.lostShare = draw.between(0.02, 0.1);
    trial.scene.link.lostBurst = draw.oneOf({1, 2, 3});
}

void movingPicture(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    trial.scene.panel.movePx = draw.between(0.5, 4.0);
    trial.scene.panel.textureContrast = draw.between(0.1, 0.5);
}

void mains(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    trial.scene.room.mainsHz = draw.oneOf({50.0, 60.0});
    trial.scene.room.flickerDepth = draw.between(0.05, 0.4);
}

void drift(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    trial.drift = {draw.between(0.02, 0.15), draw.betweenLog(700.0, 5000.0)};
}

void coveredLamp(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    film::Spot& lamp = trial.scene.referenceLamp;
    lamp.coveredSide
        = draw.oneOf({film::Side::Left, film::Side::Right, film::Side::Top, film::Side::Bottom});
    lamp.coveredShare = draw.between(0.2, 0.7);
    lamp.haloBrightness = draw.between(0.0, 0.2);
    lamp.haloPx = draw.between(4.0, 20.0);
}

void colours(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    const film::Colour red {1.0, draw.between(0.0, 0.1), draw.between(0.0, 0.05)};
    const film::Colour green {draw.between(0.0, 0.15), 1.0, draw.between(0.0, 0.3)};
    trial.scene.referenceLamp.colour = draw.chance(0.5) ? red : green;
    trial.scene.panel.lampImage.colour = trial.scene.referenceLamp.colour;
}

void afterglow(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    trial.scene.lamps.riseMs = draw.between(0.0, 0.3);
    trial.scene.lamps.fallMs = draw.between(0.05, 1.0);
}

void portrait(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    trial.scene.file.rotationDeg = draw.oneOf({90, 180, 270});
    if (trial.scene.camera.lineTimeUs != 0.0) {
        // 320 stored rows in place of 180.
        trial.scene.camera.lineTimeUs *= static_cast<double>(heightPx) / widthPx;
        trial.told.lineTimeUs = trial.scene.camera.lineTimeUs;
    }
}

void litAtStart(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    trial.scene.lamps.programme.startLit = true;
}

void closePresses(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    // The answer comes after the next edge: pairs closer than the latency.
    trial.scene.link.delayMs = draw.between(30.0, 70.0);
    const double shortest = 1.5 * linkFrameMs(trial);
    trial.scene.lamps.programme.holdMs = {shortest, draw.between(40.0, 120.0)};
    trial.scene.lamps.programme.gapMs = {draw.between(80.0, 150.0), draw.between(200.0, 420.0)};
}

void tooShort(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    // Seen by the high-speed camera, perhaps not by the link's.
    const double shortest = std::max(0.4 * linkFrameMs(trial), 3.0 * frameMs(trial));
    trial.scene.lamps.programme.holdMs = {shortest, shortest + 3.0 * linkFrameMs(trial)};
}

void framesLost(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    trial.scene.camera.loss.share = draw.between(0.002, 0.02);
    trial.scene.camera.loss.burst = draw.oneOf({1, 2, 4});
}

void slowCamera(Draw& draw, Trial& trial)
{
    setCapture(trial, 120, draw.between(0.5, 0.98), draw.chance(0.5));
    setRollingShutter(draw, trial, draw.between(0.3, 0.98));
}

void shortExposure(Draw& draw, Trial& trial)
{
    setCapture(trial, draw.oneOf<std::int64_t>({240, 480, 960}), draw.between(0.05, 0.7),
        draw.chance(0.5));
}

void dim(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    trial.scene.camera.readNoise = draw.between(0.05, 0.2);
    trial.scene.camera.shotNoise = draw.between(0.03, 0.2);
    trial.scene.referenceLamp.brightness = draw.between(0.1, 0.3);
    trial.scene.panel.lampImage.brightness = draw.between(0.1, 0.25);
}

void clipped(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    trial.scene.referenceLamp.brightness = draw.betweenLog(1.2, 10.0);
}

void brightLink(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    trial.scene.linkCamera.gain = draw.betweenLog(2.0, 20.0);
}

/// The peak of a pulsed light is its mean over the lit share: it may not clip, which is another
/// class.
void dimPanel(Trial& trial, double litShare)
{
    film::Panel& panel = trial.scene.panel;
    for (double* light : {&panel.brightness, &panel.spill, &panel.lampImage.brightness}) {
        *light *= litShare;
    }
}

void slowStrobe(Draw& draw, Trial& trial)
{
    setCapture(
        trial, draw.oneOf<std::int64_t>({960, 1000}), draw.between(0.7, 0.98), draw.chance(0.5));
    film::Strobe strobe;
    strobe.clock = draw.chance(0.5) ? film::StrobeClock::Own : film::StrobeClock::Refresh;
    strobe.periodMs = draw.between(4.0, 14.0);
    const double periodMs
        = strobe.clock == film::StrobeClock::Own ? strobe.periodMs : linkFrameMs(trial);
    strobe.widthMs = draw.between(0.1, 0.4) * periodMs;
    strobe.rolling = draw.chance(0.3);
    dimPanel(trial, strobe.widthMs / periodMs);
    trial.scene.panel.strobe = strobe;
}

void fastStrobe(Draw& draw, Trial& trial)
{
    setCapture(trial, draw.oneOf<std::int64_t>({240, 480, 960}), draw.between(0.7, 0.98),
        draw.chance(0.5));
    film::Strobe strobe;
    strobe.periodMs = draw.between(0.4, 2.6) * frameMs(trial);
    strobe.widthMs = draw.between(0.2, 0.8) * strobe.periodMs;
    dimPanel(trial, strobe.widthMs / strobe.periodMs);
    trial.scene.panel.strobe = strobe;
}

void pulsedLamp(Draw& draw, Trial& trial)
{
    anyCapture(draw, trial);
    const film::PulseSpec pulses {draw.betweenLog(0.1, 8.0), draw.between(0.2, 0.9)};
    trial.scene.lamps.pwm = pulses;
    trial.scene.referenceLamp.brightness *= pulses.duty;
}

constexpr std::array classes {
    SceneClass {"960 and 1000 frames/s", "Thousand", Kind::Clean, thousand},
    SceneClass {"the same, exposure not told", "ThousandUntold", Kind::Ordinary, thousandUntold},
    SceneClass {"480 to 600 frames/s", "Middle", Kind::Clean, middle},
    SceneClass {"240 frames/s, rolling shutter", "Rolling", Kind::Clean, rolling},
    SceneClass {"the same, exposure not told", "RollingUntold", Kind::Ordinary, rollingUntold},
    SceneClass {"the same, line time not told", "LineTimeUntold", Kind::Ordinary, lineTimeUntold},
    SceneClass {"slow panel, 2 to 4 ms", "SlowPanel", Kind::Ordinary, slowPanel},
    SceneClass {"overshooting panel", "Overshoot", Kind::Ordinary, overshoot},
    SceneClass {"free-running panel", "FreePanel", Kind::Ordinary, freePanel},
    SceneClass {"panel all at once", "AtOnce", Kind::Ordinary, atOnce},
    SceneClass {"jitter and late frames", "Jitter", Kind::Ordinary, jitter},
    SceneClass {"link frames lost", "LinkLosses", Kind::Ordinary, linkLosses},
    SceneClass {"moving picture", "MovingPicture", Kind::Ordinary, movingPicture},
    SceneClass {"mains flicker", "Mains", Kind::Ordinary, mains},
    SceneClass {"drifting light", "Drift", Kind::Ordinary, drift},
    SceneClass {"half-covered lamp, bloom", "CoveredLamp", Kind::Ordinary, coveredLamp},
    SceneClass {"red and green lamps", "Colours", Kind::Ordinary, colours},
    SceneClass {"lamp with afterglow", "Afterglow", Kind::Hard, afterglow},
    SceneClass {"turned clip", "Portrait", Kind::Ordinary, portrait},
    SceneClass {"lit at the start", "LitAtStart", Kind::Ordinary, litAtStart},
    SceneClass {"pairs closer than the latency", "ClosePresses", Kind::Hard, closePresses},
    SceneClass {"presses near one link frame", "TooShort", Kind::Hard, tooShort},
    SceneClass {"camera frames lost", "FramesLost", Kind::Hard, framesLost},
    SceneClass {"120 frames/s", "SlowCamera", Kind::Hard, slowCamera},
    SceneClass {"short exposure", "ShortExposure", Kind::Hard, shortExposure},
    SceneClass {"dim, noisy", "Dim", Kind::Hard, dim},
    SceneClass {"clipped reference lamp", "Clipped", Kind::Hard, clipped},
    SceneClass {"lamp too bright for the link", "BrightLink", Kind::Hard, brightLink},
    SceneClass {"slow strobe", "SlowStrobe", Kind::Hard, slowStrobe},
    SceneClass {"fast strobe", "FastStrobe", Kind::Hard, fastStrobe},
    SceneClass {"lamp dimmed by pulses", "PulsedLamp", Kind::Hard, pulsedLamp},
};

} // namespace

std::span<const SceneClass> sceneClasses() { return classes; }

Trial drawTrial(const SceneClass& kind, std::uint64_t seed, int presses)
{
    Draw draw(seed);
    Trial trial = commonTrial(draw, presses);
    kind.shape(draw, trial);
    // No picture is shown before it was filmed.
    trial.scene.link.delayMs += std::max(0.0, 0.01 - film::earliestRowSlackMs(trial.scene));
    trial.scene.name = kind.name;
    return trial;
}

} // namespace twinlamp::accuracy

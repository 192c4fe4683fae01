// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/truth.h"

#include "core/film/answer.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace twinlamp::film {

namespace {

std::optional<RealTime> realTime(std::optional<double> ms)
{
    return ms ? std::optional<RealTime>(realTimeFromMs(*ms)) : std::nullopt;
}

ClipFacts clipFacts(const Studio& studio)
{
    const Scene& scene = studio.scene();
    ClipFacts facts;
    facts.frames = std::ranges::count_if(
        studio.cameraFrames(), [](std::int64_t frame) { return frame >= 0; });
    facts.widthPx = scene.widthPx;
    facts.heightPx = scene.heightPx;
    facts.rotationDeg = scene.file.rotationDeg;
    facts.captureRate = scene.camera.captureRate;
    facts.playRateHz = scene.file.playRate.value_or(scene.camera.captureRate).hz();
    facts.lostFrames = studio.lostFrameCount();
    facts.exposureMs = scene.camera.exposureMs;
    facts.exposureSource = ExposureSource::Given;
    facts.lineTimeUs = scene.camera.lineTimeUs;
    return facts;
}

/// Whether the camera lost the frame in whose interval the instant lies.
bool inLostFrame(const Studio& studio, double ms)
{
    const auto frame = static_cast<std::int64_t>(std::floor(ms / studio.cameraIntervalMs()));
    const auto& frames = studio.cameraFrames();
    return !frames.empty() && frame <= frames.back() && !std::ranges::binary_search(frames, frame);
}

bool isTooShort(const Studio& studio, std::size_t edge)
{
    const auto& edges = studio.edges();
    const double intervalMs = studio.link().frameIntervalMs();
    const bool after = edge + 1 < edges.size() && edges[edge + 1].ms - edges[edge].ms < intervalMs;
    const bool before = edge > 0 && edges[edge].ms - edges[edge - 1].ms < intervalMs;
    return after || before;
}

class TruthBuilder
{
public:
    TruthBuilder(const Studio& studio, const RegionSet& regions)
        : m_studio(studio)
        , m_regions(regions)
        , m_finder(studio)
        , m_goggle(studio.isDirect() ? GroupWeights {} : studio.lampWeights(regions.goggle))
    {
        const RectPx visible = visiblePanel(studio.scene());
        m_panelCut = !(visible == studio.scene().panel.rect);
    }

    Truth build()
    {
        const Scene& scene = m_studio.scene();
        Truth truth;
        truth.clip = clipFacts(m_studio);
        truth.regions = m_regions;
        truth.sceneName = scene.name;
        truth.seed = scene.seed;
        truth.zeroMs = scene.lamps.skewMs;
        truth.lineTimeUs = scene.camera.lineTimeUs;
        constexpr double perMillion = 1e-6;
        truth.trueCaptureRateHz
            = scene.camera.captureRate.hz() * (1.0 + perMillion * scene.camera.rateErrorPpm);
        truth.linkFrameMs = m_studio.link().frameIntervalMs();
        for (std::size_t i = 0; i < m_studio.edges().size(); ++i) {
            if (m_studio.edges()[i].ms < m_studio.durationMs()) {
                Sampling sampling {samplingPhase(m_studio.edges()[i].ms), std::nullopt};
                truth.presses.push_back(press(i, sampling));
                if (!m_studio.isDirect()) {
                    truth.sampling.push_back(sampling);
                }
            }
        }
        if (!m_studio.isDirect()) {
            truth.panelTiming = panelTiming();
        }
        return truth;
    }

private:
    Press press(std::size_t i, Sampling& sampling)
    {
        Press press;
        press.index = static_cast<int>(i);
        press.edge = m_studio.edges()[i].edge;
        press.reference = realTimeFromMs(m_studio.edges()[i].ms);
        press.referenceBefore = press.edge == Edge::On ? 0.0 : 1.0;
        press.referenceAfter = 1.0 - press.referenceBefore;
        if (m_studio.isDirect()) {
            seeDirectly(i, press);
        } else {
            seeThroughLink(i, press, sampling);
        }
        if (press.firstLight) {
            press.latency = *press.firstLight - *press.reference
                - latencyFromMs(m_studio.scene().lamps.skewMs);
        }
        if (press.fullFrame) {
            press.fullFrameLatency = *press.fullFrame - *press.reference
                - latencyFromMs(m_studio.scene().lamps.skewMs);
        }
        const bool gap = inLostFrame(m_studio, m_studio.edges()[i].ms)
            || (press.firstLight && inLostFrame(m_studio, toMs(*press.firstLight)));
        if (gap) {
            addFlag(press.flags, Flag::LostFrames);
        }
        return press;
    }

    void seeDirectly(std::size_t i, Press& press) const
    {
        const auto& edges = m_studio.edges();
        const double start = edges[i].ms + m_studio.scene().lamps.skewMs;
        const bool on = press.edge == Edge::On;
        const double end = i + 1 < edges.size() ? edges[i + 1].ms : m_studio.durationMs();
        const auto at = [&](double share) {
            return realTime(m_studio.linkLamp().curve.crossing(
                on ? share : 1.0 - share, on, {start, std::max(start, end)}));
        };
        press.firstLight = at(0.1);
        press.halfLight = at(0.5);
        press.settled = at(0.9);
    }

    void seeThroughLink(std::size_t i, Press& press, Sampling& sampling)
    {
        const auto answer = m_finder.answer(i, m_goggle);
        if (m_studio.panel().strobe() != nullptr) {
            addFlag(press.flags,
                m_finder.strobeResolved() ? Flag::PanelStrobed : Flag::StrobeUnresolved);
        }
        if (!answer || !answer->crossingsMs[0]) {
            press.accepted = !isTooShort(m_studio, i);
            addFlag(press.flags, press.accepted ? Flag::NoResponse : Flag::TooShortForLink);
            return;
        }
        press.firstLight = realTime(inClip(answer->crossingsMs[0]));
        press.halfLight = realTime(inClip(answer->crossingsMs[1]));
        press.settled = realTime(inClip(answer->crossingsMs[2]));
        sampling.firstStepShare = answer->firstStepShare;
        press.goggleBefore = answer->oldLevel;
        press.goggleAfter = answer->finalLevel;
        if (!answer->settledBeforeNext) {
            addFlag(press.flags, Flag::NotSettled);
        }
        if (!press.firstLight) {
            addFlag(press.flags, Flag::ClipEdge);
        }
        sweep(i, press);
    }

    [[nodiscard]] double samplingPhase(double edgeMs) const
    {
        const double start
            = m_studio.link().exposure(0, m_studio.scene().panel.lampImage.y).startMs;
        const double frames
            = (edgeMs + m_studio.scene().lamps.skewMs - start) / m_studio.link().frameIntervalMs();
        return frames - std::floor(frames);
    }

    [[nodiscard]] std::optional<double> inClip(std::optional<double> ms) const
    {
        return ms && *ms < m_studio.durationMs() ? ms : std::nullopt;
    }

    void sweep(std::size_t i, Press& press) const
    {
        const Panel& panel = m_studio.scene().panel;
        const std::size_t groups = m_studio.panel().groupCount();
        std::vector<double> firsts;
        for (std::size_t g = 0; panel.spill > 0.0 && g < groups; ++g) {
            const auto answer = m_finder.answer(i, {{g, panel.spill}});
            if (answer && inClip(answer->crossingsMs[0])) {
                firsts.push_back(*answer->crossingsMs[0]);
            }
        }
        constexpr double enough = 0.9;
        if (static_cast<double>(firsts.size()) < enough * static_cast<double>(groups)
            || firsts.empty()) {
            addFlag(press.flags, Flag::PanelNoFigure);
            return;
        }
        // A group stands for a pixel: its light is that of the pixel's middle.
        const bool swept = panel.direction != Direction::AllAtOnce && panel.strobe == std::nullopt;
        const double length = panel.corners   ? static_cast<double>(groups)
            : sweepsSideways(panel.direction) ? panel.rect.width
                                              : panel.rect.height;
        const double halfPixelMs = swept ? 0.5 * panel.scanMs / length : 0.0;
        press.sweepStart = realTimeFromMs(std::ranges::min(firsts) - halfPixelMs);
        press.fullFrame = realTimeFromMs(std::ranges::max(firsts) + halfPixelMs);
        if (m_panelCut) {
            addFlag(press.flags, Flag::FullVisiblePart);
        }
    }

    [[nodiscard]] PanelTiming panelTiming() const
    {
        const Panel& panel = m_studio.scene().panel;
        PanelTiming timing;
        const bool swept = panel.direction != Direction::AllAtOnce;
        timing.scan = latencyFromMs(swept ? panel.scanMs : 0.0);
        switch (panel.direction) {
        case Direction::Down:
            timing.direction = SweepDirection::Down;
            break;
        case Direction::Up:
            timing.direction = SweepDirection::Up;
            break;
        case Direction::LeftToRight:
            timing.direction = SweepDirection::LeftToRight;
            break;
        case Direction::RightToLeft:
            timing.direction = SweepDirection::RightToLeft;
            break;
        case Direction::AllAtOnce:
            timing.direction = SweepDirection::AllAtOnce;
            break;
        }
        timing.newFrameInterval = latencyFromMs(m_finder.newFrameIntervalMs());
        timing.refreshInterval = latencyFromMs(m_studio.link().redrawIntervalMs());
        countHeld(timing);
        return timing;
    }

    /// Redraws within the clip that repeat a picture. A panel that redraws on arrival and gets no
    /// frame holds the old one for as many of its intervals.
    void countHeld(PanelTiming& timing) const
    {
        const double interval = m_studio.link().redrawIntervalMs();
        std::int64_t slots = 0;
        std::int64_t held = 0;
        double longest = 0.0;
        std::optional<Redraw> shown;
        for (const Redraw& redraw : m_studio.link().redraws()) {
            if (redraw.startMs < 0.0 || redraw.startMs > m_studio.durationMs()) {
                continue;
            }
            if (shown && redraw.frame != shown->frame) {
                const double lasted = redraw.startMs - shown->startMs;
                const auto count = std::max<std::int64_t>(1, std::llround(lasted / interval));
                slots += count;
                held += count - 1;
                longest = std::max(longest, lasted);
            }
            if (!shown || redraw.frame != shown->frame) {
                shown = redraw;
            }
        }
        if (slots > 0) {
            timing.heldShare = static_cast<double>(held) / static_cast<double>(slots);
            timing.longestHeld = latencyFromMs(longest);
        }
    }

    const Studio& m_studio;
    const RegionSet& m_regions;
    AnswerFinder m_finder;
    GroupWeights m_goggle;
    bool m_panelCut = false;
};

} // namespace

Truth truthOf(const Studio& studio) { return truthOf(studio, studio.regions()); }

Truth truthOf(const Studio& studio, const RegionSet& regions)
{
    return TruthBuilder(studio, regions).build();
}

Truth truthOf(const Scene& scene) { return truthOf(Studio(scene)); }

} // namespace twinlamp::film

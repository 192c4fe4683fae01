// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/link_model.h"

#include "core/film/random.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::film {

namespace {

constexpr double normalCut = 3.0; // standard deviations at which normal jitter ends
constexpr double leadMs = 500.0; // the link runs before the clip starts

double drawnPhase(const Phase& phase, double periodMs, const Scene& scene, Stream stream)
{
    return phase.ms.value_or(Random(scene.seed, stream).uniform(0.0, periodMs));
}

double jitterMs(const Link& link, Random random)
{
    switch (link.jitter) {
    case JitterKind::Uniform:
        return random.uniform(-link.jitterMs, link.jitterMs);
    case JitterKind::Normal: {
        double z = random.normal();
        while (std::abs(z) > normalCut) {
            z = random.normal();
        }
        return z * link.jitterMs;
    }
    case JitterKind::Exponential:
        return random.exponential(link.jitterMs);
    case JitterKind::None:
        break;
    }
    return 0.0;
}

double earliestJitterMs(const Link& link)
{
    switch (link.jitter) {
    case JitterKind::Uniform:
        return -link.jitterMs;
    case JitterKind::Normal:
        return -normalCut * link.jitterMs;
    case JitterKind::Exponential:
    case JitterKind::None:
        break;
    }
    return 0.0;
}

double longestWaitMs(const Link& link)
{
    constexpr double farTail = 20.0;
    return link.delayMs + link.lateMs + farTail * link.jitterMs;
}

/// Whether frame n is in a burst of losses: one that begins at it or up to burst - 1 frames before.
bool isLost(const Scene& scene, std::int64_t n)
{
    const Link& link = scene.link;
    if (std::ranges::find(link.lostFrames, n) != link.lostFrames.end()) {
        return true;
    }
    for (int back = 0; link.lostShare > 0.0 && back < link.lostBurst; ++back) {
        if (Random(scene.seed, Stream::Lost, n - back).uniform() < link.lostShare) {
            return true;
        }
    }
    return false;
}

std::optional<double> readyMs(const Scene& scene, const LinkFrame& frame)
{
    if (isLost(scene, frame.number)) {
        return std::nullopt;
    }
    const Link& link = scene.link;
    double ready = frame.startMs + scene.linkCamera.exposureMs + link.delayMs
        + jitterMs(link, Random(scene.seed, Stream::Jitter, frame.number));
    if (Random(scene.seed, Stream::Late, frame.number).uniform() < link.lateShare) {
        ready += link.lateMs;
    }
    return ready;
}

struct Arrival
{
    double ms;
    std::int64_t frame;
};

std::vector<Arrival> arrivals(const std::vector<LinkFrame>& frames)
{
    std::vector<Arrival> all;
    for (const LinkFrame& frame : frames) {
        if (frame.readyMs) {
            all.push_back({*frame.readyMs, frame.number});
        }
    }
    std::ranges::stable_sort(all, {}, &Arrival::ms);
    return all;
}

} // namespace

LinkModel::LinkModel(const Scene& scene, double untilMs)
    : m_camera(scene.linkCamera)
{
    m_intervalMs = m_camera.frameRate.intervalMs() / (1.0 + m_camera.clockPpm * 1e-6);
    m_phaseMs = drawnPhase(m_camera.phase, m_intervalMs, scene, Stream::LinkPhase);
    film(scene, untilMs);
    if (scene.panel.refresh == RefreshKind::Free) {
        redrawFreely(scene, untilMs);
    } else {
        m_redrawIntervalMs = m_intervalMs;
        redrawOnArrival(scene.panel);
    }
}

void LinkModel::film(const Scene& scene, double untilMs)
{
    const double earliest = -leadMs - longestWaitMs(scene.link);
    const auto first = static_cast<std::int64_t>(std::floor(earliest / m_intervalMs));
    const auto last = static_cast<std::int64_t>(std::ceil(untilMs / m_intervalMs)) + 1;
    for (std::int64_t n = first; n <= last; ++n) {
        LinkFrame frame {n, m_phaseMs + static_cast<double>(n) * m_intervalMs, std::nullopt};
        frame.readyMs = readyMs(scene, frame);
        m_frames.push_back(frame);
    }
}

void LinkModel::redrawOnArrival(const Panel& panel)
{
    const double scanMs = panel.direction == Direction::AllAtOnce ? 0.0 : panel.scanMs;
    const std::vector<Arrival> all = arrivals(m_frames);
    for (std::size_t i = 0; i < all.size();) {
        const double free = m_redraws.empty() ? all[i].ms : m_redraws.back().startMs + scanMs;
        const double start = std::max(all[i].ms, free);
        std::int64_t newest = all[i].frame;
        for (; i < all.size() && all[i].ms <= start; ++i) {
            newest = std::max(newest, all[i].frame);
        }
        // A frame that comes after a newer one was shown is dropped.
        if (m_redraws.empty() || newest > m_redraws.back().frame) {
            m_redraws.push_back({start, newest});
        }
    }
}

void LinkModel::redrawFreely(const Scene& scene, double untilMs)
{
    m_redrawIntervalMs = scene.panel.refreshRate.intervalMs();
    const double phase
        = drawnPhase(scene.panel.refreshPhase, m_redrawIntervalMs, scene, Stream::RefreshPhase);
    const std::vector<Arrival> all = arrivals(m_frames);
    const auto first = static_cast<std::int64_t>(std::floor(-leadMs / m_redrawIntervalMs));
    std::size_t next = 0;
    std::int64_t newest = m_frames.front().number;
    for (std::int64_t m = first; phase + static_cast<double>(m) * m_redrawIntervalMs <= untilMs;
         ++m) {
        const double start = phase + static_cast<double>(m) * m_redrawIntervalMs;
        for (; next < all.size() && all[next].ms <= start; ++next) {
            newest = std::max(newest, all[next].frame);
        }
        m_redraws.push_back({start, newest});
    }
}

Span LinkModel::exposure(std::int64_t frame, double share) const
{
    const double start
        = m_phaseMs + static_cast<double>(frame) * m_intervalMs + share * m_camera.readoutMs;
    return {start, start + m_camera.exposureMs};
}

double earliestRowSlackMs(const Scene& scene)
{
    const Panel& panel = scene.panel;
    const double readout = scene.linkCamera.readoutMs;
    const double delay = scene.link.delayMs + earliestJitterMs(scene.link);
    switch (panel.direction) {
    case Direction::Down:
        return delay + std::min(0.0, panel.scanMs - readout);
    case Direction::LeftToRight:
    case Direction::RightToLeft: // the whole picture takes the row of the lamp (panel_light.h)
        return delay - panel.lampImage.y * readout;
    case Direction::Up:
    case Direction::AllAtOnce:
        break;
    }
    return delay - readout;
}

} // namespace twinlamp::film

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/panel_light.h"

#include "core/film/random.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::film {

PanelLight::PanelLight(const Scene& scene, const LinkModel& link, const LampLight& lamp,
    std::vector<PanelGroup> groups)
    : m_link(&link)
    , m_lamp(&lamp)
    , m_gain(scene.linkCamera.gain)
    , m_groups(std::move(groups))
    , m_scanMs(scene.panel.direction == Direction::AllAtOnce ? 0.0 : scene.panel.scanMs)
    , m_riseMs(scene.panel.riseMs)
{
    for (const Redraw& redraw : link.redraws()) {
        if (m_changes.empty() || redraw.frame != m_changes.back().frame) {
            m_changes.push_back(redraw);
        }
    }
    buildStrobe(scene);
    for (std::size_t g = 0; g < m_groups.size(); ++g) {
        buildCurve(scene, g);
    }
}

void PanelLight::buildStrobe(const Scene& scene)
{
    if (!scene.panel.strobe) {
        return;
    }
    const Strobe& strobe = *scene.panel.strobe;
    PulseTrain train;
    const auto& redraws = m_link->redraws();
    if (strobe.clock == StrobeClock::Refresh) {
        train.periodMs = m_link->redrawIntervalMs();
        const double wait = strobe.phase.ms.value_or(m_scanMs);
        for (const Redraw& redraw : redraws) {
            const double start = redraw.startMs + wait;
            train.pulses.push_back({start, start + strobe.widthMs});
        }
    } else {
        train.periodMs = strobe.periodMs;
        const double phase = strobe.phase.ms.value_or(
            Random(scene.seed, Stream::StrobePhase).uniform(0.0, strobe.periodMs));
        const double end = redraws.empty() ? 0.0 : redraws.back().startMs + m_scanMs;
        const auto first = static_cast<std::int64_t>(
            std::floor((redraws.empty() ? 0.0 : redraws.front().startMs) / strobe.periodMs));
        for (std::int64_t i = first; phase + static_cast<double>(i) * strobe.periodMs < end; ++i) {
            const double start = phase + static_cast<double>(i) * strobe.periodMs;
            train.pulses.push_back({start, start + strobe.widthMs});
        }
    }
    train.peak = train.periodMs / strobe.widthMs;
    m_rolling = strobe.rolling;
    m_strobe = std::move(train);
}

void PanelLight::buildCurve(const Scene& scene, std::size_t g)
{
    const Panel& panel = scene.panel;
    const auto level = [&](std::int64_t frame) { return filmed(g, frame); };
    const auto& redraws = m_link->redraws();
    double before = redraws.empty() ? 0.0 : level(redraws.front().frame);
    double shown = before;
    LightCurve curve(before);
    std::int64_t frame = redraws.empty() ? 0 : redraws.front().frame;
    for (const Redraw& redraw : redraws) {
        const double now = redraw.frame == frame ? shown : level(redraw.frame);
        frame = redraw.frame;
        const double target = std::max(0.0, now + panel.overdrive * (now - shown));
        shown = now;
        if (target != before) {
            const double constant = target > before ? panel.riseMs : panel.fallMs;
            curve.approach(redraw.startMs + sweepMs(g), target, constant);
        }
        before = target;
    }
    m_curves.push_back(std::move(curve));
}

double PanelLight::sweepMs(std::size_t g) const { return m_groups[g].sweepShare * m_scanMs; }

double PanelLight::strobeOffsetMs(std::size_t g) const { return m_rolling ? sweepMs(g) : 0.0; }

double PanelLight::lampMean(std::size_t g, Span span, std::size_t& hint) const
{
    return pulsedMean(m_curves[g], strobe(), span, strobeOffsetMs(g), hint);
}

double PanelLight::strobeMean(std::size_t g, Span span) const
{
    return m_strobe ? m_strobe->mean(span, strobeOffsetMs(g)) : 1.0;
}

double PanelLight::filmed(std::size_t g, std::int64_t linkFrame) const
{
    std::size_t hint = 0;
    return std::min(
        1.0, m_gain * m_lamp->mean(m_link->exposure(linkFrame, m_groups[g].linkShare), hint));
}

std::optional<Redraw> PanelLight::firstRedraw(std::size_t g, double lampMs) const
{
    const auto sawNothing = [&](const Redraw& change) {
        return m_link->exposure(change.frame, m_groups[g].linkShare).endMs <= lampMs;
    };
    const auto it = std::ranges::partition_point(m_changes, sawNothing);
    return it == m_changes.end() ? std::nullopt : std::optional<Redraw>(*it);
}

std::optional<double> PanelLight::firstSight(std::size_t g, double lampMs) const
{
    const auto redraw = firstRedraw(g, lampMs);
    return redraw ? std::optional<double>(redraw->startMs + sweepMs(g)) : std::nullopt;
}

double PanelLight::shareFrom(double changeMs, std::size_t g, Span span) const
{
    const auto lit = [&](Span part) {
        const double start = std::max(part.startMs, changeMs);
        if (start >= part.endMs) {
            return 0.0;
        }
        if (m_riseMs <= 0.0) {
            return part.endMs - start;
        }
        const double left = std::exp(-(start - changeMs) / m_riseMs)
            - std::exp(-(part.endMs - changeMs) / m_riseMs);
        return part.endMs - start - m_riseMs * left;
    };
    if (!m_strobe) {
        return lit(span) / span.lengthMs();
    }
    double sum = 0.0;
    m_strobe->overlap(span, strobeOffsetMs(g), [&](Span part) { sum += lit(part); });
    return m_strobe->peak * sum / span.lengthMs();
}

} // namespace twinlamp::film

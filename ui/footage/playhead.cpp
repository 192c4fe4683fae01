// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/playhead.h"

#include <algorithm>

namespace twinlamp::ui {

namespace {

constexpr int tickMs = 16;

} // namespace

Playhead::Playhead(QObject* parent)
    : QObject(parent)
{
    m_timer.setInterval(tickMs);
    m_timer.setTimerType(Qt::PreciseTimer);
    connect(&m_timer, &QTimer::timeout, this, &Playhead::onTick);
}

void Playhead::setFrameCount(std::int64_t count)
{
    rest();
    m_frameCount = count;
    m_frame = {0};
    Q_EMIT frameChanged(m_frame);
}

void Playhead::goTo(FrameIndex frame)
{
    rest();
    set(frame);
}

void Playhead::step(std::int64_t frames)
{
    rest();
    set({m_frame.value + frames});
}

void Playhead::play(double framesPerSecond)
{
    if (m_frameCount < 2 || framesPerSecond <= 0.0) {
        return;
    }
    if (m_frame.value >= m_frameCount - 1) {
        set({0});
    }
    const bool wasPlaying = isPlaying();
    m_pace.emplace(m_frame, framesPerSecond, m_frameCount);
    m_since.start();
    m_timer.start();
    if (!wasPlaying) {
        Q_EMIT playingChanged(true);
    }
}

void Playhead::rest()
{
    if (m_pace) {
        m_pace.reset();
        m_timer.stop();
        Q_EMIT playingChanged(false);
    }
}

void Playhead::set(FrameIndex frame)
{
    const FrameIndex cut {
        std::clamp<std::int64_t>(frame.value, 0, std::max<std::int64_t>(0, m_frameCount - 1))};
    if (cut != m_frame) {
        m_frame = cut;
        Q_EMIT frameChanged(m_frame);
    }
}

void Playhead::onTick()
{
    const qint64 elapsed = m_since.nsecsElapsed();
    set(m_pace->due(elapsed));
    if (m_pace && m_pace->isOver(elapsed)) {
        rest();
    }
}

} // namespace twinlamp::ui

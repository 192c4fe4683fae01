// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"
#include "ui/footage/play_pace.h"

#include <QElapsedTimer>
#include <QObject>
#include <QTimer>

#include <optional>

namespace twinlamp::ui {

/// The frame in hand. A step counts from the frame asked for, whatever picture is on screen yet.
class Playhead : public QObject
{
    Q_OBJECT

public:
    explicit Playhead(QObject* parent = nullptr);

    /// A new clip starts at its first frame, at rest.
    void setFrameCount(std::int64_t count);

    [[nodiscard]] std::int64_t frameCount() const { return m_frameCount; }

    [[nodiscard]] FrameIndex frame() const { return m_frame; }

    [[nodiscard]] bool isPlaying() const { return m_pace.has_value(); }

    /// Goes to a frame, cut to the clip. Playing ends.
    void goTo(FrameIndex frame);
    void step(std::int64_t frames);
    /// Plays from here to the last frame and rests there; from the last frame it starts at the
    /// first one.
    void play(double framesPerSecond);
    void rest();

Q_SIGNALS:
    void frameChanged(twinlamp::FrameIndex frame);
    void playingChanged(bool playing);

private:
    void set(FrameIndex frame);
    void onTick();

    std::int64_t m_frameCount = 0;
    FrameIndex m_frame;
    std::optional<PlayPace> m_pace;
    QElapsedTimer m_since;
    QTimer m_timer;
};

} // namespace twinlamp::ui

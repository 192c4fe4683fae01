// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/press.h"
#include "ui/footage/scrub_layout.h"

#include <QWidget>

#include <vector>

namespace twinlamp::ui {

/// The whole clip as a bar that carries every press; pulling its playhead scrubs.
///
/// Keys: Left/Right one frame (Shift: ten), Page Up/Down to the press before/after, Home/End.
class ScrubBar : public QWidget
{
    Q_OBJECT

public:
    /// A press and the frame that its reference onset falls in.
    struct PressAt
    {
        int pressIndex = 0;
        FrameIndex frame;
        Edge edge = Edge::On;
        bool accepted = true;
        bool doubted = false;
    };

    explicit ScrubBar(QWidget* parent = nullptr);

    /// @param lengthMs  real time of the whole clip; 0 where the capture rate is not known
    void setClip(std::int64_t frameCount, double lengthMs);
    void setFrame(FrameIndex frame);
    void setPresses(std::vector<PressAt> presses, std::optional<int> picked);
    /// Part of the clip that is measured so far, 0 to 1; empty when no scan runs.
    void setScanned(std::optional<double> share);

    [[nodiscard]] QSize sizeHint() const override;

Q_SIGNALS:
    void frameAsked(twinlamp::FrameIndex frame);
    void stepAsked(int frames);
    void pressStepAsked(bool forward);
    void pressPicked(int pressIndex);

protected:
    void paintEvent(QPaintEvent* event) override;
    void mousePressEvent(QMouseEvent* event) override;
    void mouseMoveEvent(QMouseEvent* event) override;
    void keyPressEvent(QKeyEvent* event) override;
    bool event(QEvent* event) override;

private:
    [[nodiscard]] AxisMapping mapping() const;
    [[nodiscard]] const PressAt* pressNear(double px) const;
    void paintTrack(QPainter& painter, const QRectF& track) const;
    void paintPresses(QPainter& painter, const QRectF& track) const;
    void paintRuler(QPainter& painter, double top) const;

    std::int64_t m_frameCount = 0;
    double m_lengthMs = 0.0;
    FrameIndex m_frame;
    std::vector<PressAt> m_presses;
    std::optional<int> m_picked;
    std::optional<double> m_scanned;
};

} // namespace twinlamp::ui

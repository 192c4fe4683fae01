// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "ui/plots/trace_marks.h"
#include "ui/plots/trace_pyramid.h"

#include <QWidget>

#include <memory>
#include <optional>
#include <vector>

class QCPAxisRect;
class QCPGraph;
class QCustomPlot;

namespace twinlamp::ui {

struct OverlayContent;

/// The light of both lamps over real time, in two lanes on one axis, with the marks of every press.
///
/// A click goes to that time; a mark can be pulled once it is seen closely; the wheel zooms at the
/// pointer, with Shift it moves along. Keys: Left/Right step frames, Page Up/Down go to the press
/// before/after, + and - zoom, Home shows the whole clip.
class TracePlot : public QWidget
{
    Q_OBJECT

public:
    explicit TracePlot(QWidget* parent = nullptr);
    ~TracePlot() override;

    /// Traces anew; null clears.
    void setTraces(const std::shared_ptr<const ClipTraces>& traces);
    /// Traces that grew during a scan: only what is new is read.
    void growTraces(const std::shared_ptr<const ClipTraces>& traces);
    void setPresses(std::vector<session::EffectivePress> presses, std::optional<int> inHand);
    void setFrame(FrameIndex frame);
    /// The clip's length before its traces are known.
    void setClipLength(double ms);
    void setMarksMovable(bool movable);

    void showAll();
    void showSpan(MsSpan span);

    [[nodiscard]] MsSpan span() const { return m_span; }

    /// Points that the two lines are drawn with now: few at any zoom.
    [[nodiscard]] int drawnPoints() const;
    [[nodiscard]] const std::vector<TraceMark>& marks() const;
    /// Where a time lies in this widget.
    [[nodiscard]] QPoint positionOf(RealTime time, Lane lane) const;

    [[nodiscard]] QSize sizeHint() const override { return {640, 150}; }

Q_SIGNALS:
    void timeAsked(twinlamp::RealTime time);
    void stepAsked(int frames);
    void pressStepAsked(bool forward);
    void pressPicked(int press);
    /// A mark is let go at another place.
    void markMoved(int press, twinlamp::session::Mark mark, twinlamp::RealTime time);

protected:
    void changeEvent(QEvent* event) override;
    void keyPressEvent(QKeyEvent* event) override;
    void paintEvent(QPaintEvent* event) override;
    void resizeEvent(QResizeEvent* event) override;
    bool eventFilter(QObject* watched, QEvent* event) override;

private:
    /// What a held mouse button does: pull a mark, or move along the axis.
    struct Pull
    {
        std::optional<std::size_t> mark;
        bool movesMark = false;
        RealTime markFrom;
        QPointF from;
        MsSpan spanFrom;
        bool moved = false;
    };

    void buildPlot();
    void applyColours();
    void applySpan();
    void fillGraphs();
    void fillGraph(QCPGraph* graph, const TracePyramid& pyramid) const;
    void fillTicks();
    void fitLevels();
    void showHint();
    void onPress(QMouseEvent* event);
    void onMove(QMouseEvent* event);
    void onRelease(QMouseEvent* event);
    void onWheel(QWheelEvent* event);
    void replotOverlay();
    [[nodiscard]] QString markTip(const TraceMark& mark) const;
    [[nodiscard]] MsSpan whole() const;
    [[nodiscard]] AxisMapping axis() const;
    [[nodiscard]] double frameMs() const;
    [[nodiscard]] std::optional<std::size_t> markAt(QPointF at) const;
    /// Marks move by hand only where a frame is a pixel wide or more: a slip of the hand on the
    /// whole clip would move one by tens of ms.
    [[nodiscard]] bool marksCanMove() const;

    QCustomPlot* m_plot = nullptr;
    QCPAxisRect* m_referenceRect = nullptr;
    QCPAxisRect* m_goggleRect = nullptr;
    QCPGraph* m_referenceGraph = nullptr;
    QCPGraph* m_goggleGraph = nullptr;
    std::unique_ptr<OverlayContent> m_overlay;
    std::shared_ptr<const ClipTraces> m_traces;
    TracePyramid m_reference;
    TracePyramid m_goggle;
    FrameIndex m_frame;
    MsSpan m_span;
    double m_clipLengthMs = 0.0;
    bool m_movable = true;
    std::optional<Pull> m_pull;
};

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/plots/qcp.h"
#include "ui/plots/trace_marks.h"

#include <optional>
#include <vector>

namespace twinlamp::ui {

/// What lies over the traces: the presses with their marks, and the frame in hand.
struct OverlayContent
{
    std::vector<session::EffectivePress> presses;
    std::vector<TraceMark> marks;
    std::optional<int> pressInHand;
    std::optional<std::size_t> markUnderPointer;
    std::optional<MsSpan> frameInHand; ///< exposure interval of the frame on screen
    QString hint; ///< shown instead while there are no traces
};

/// Draws the overlay on a buffered layer of its own, so that moving the playhead costs no redraw
/// of the traces.
class TraceOverlay : public QCPLayerable
{
public:
    /// Belongs to the plot, as QCustomPlot's layerables do.
    TraceOverlay(QCustomPlot* plot, const QString& layer, const OverlayContent& content,
        QCPAxisRect* reference, QCPAxisRect* goggle);

protected:
    void applyDefaultAntialiasingHint(QCPPainter* painter) const override;
    void draw(QCPPainter* painter) override;

private:
    void drawHint(QCPPainter* painter) const;
    void drawFrame(QCPPainter* painter) const;
    void drawPress(QCPPainter* painter, const session::EffectivePress& press) const;
    void drawMark(QCPPainter* painter, const TraceMark& mark, bool close, bool underPointer) const;
    void drawLevels(QCPPainter* painter, const Press& press) const;
    [[nodiscard]] QCPAxisRect* rectOf(Lane lane) const;
    [[nodiscard]] double xOf(double ms) const;

    const OverlayContent& m_content;
    QCPAxisRect* m_reference;
    QCPAxisRect* m_goggle;
};

} // namespace twinlamp::ui

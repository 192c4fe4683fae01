// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/report/press_explanation.h"
#include "ui/explain/explanation_ink.h"

#include <QRectF>
#include <QString>

#include <vector>

class QPainter;

namespace twinlamp::ui {

/// Largest residual that the residual lane shows, share of the step: the next 1, 2 or 5 above what
/// is there.
[[nodiscard]] double residualReach(const report::PressExplanation& explanation);

/// The name of a mark above the lanes, beside its line.
struct MarkName
{
    static constexpr double air = 3.0;
    double x = 0.0; ///< of the mark's line
    double width = 0.0; ///< of the text
    QString text;
    int row = 0; ///< from 0, the lowest; -1: there is no room for it
    bool toTheLeft = false; ///< of its line

    [[nodiscard]] double textLeft() const { return toTheLeft ? x - air - width : x + air; }
};

/// Chooses row and side of each name so that no name runs into another or across a line.
/// @param names  by rising x
void placeMarkNames(std::vector<MarkName>& names, double left, double right);

/// Both traces under one another with the fitted model, and the residuals under them, on one axis
/// of real time since the onset.
class TraceChart
{
public:
    TraceChart(const report::PressExplanation& explanation, const ExplanationInk& ink)
        : m_explanation(explanation)
        , m_ink(ink)
    {
    }

    [[nodiscard]] double height() const;
    void paint(QPainter& painter, QRectF area) const;

private:
    struct Lane
    {
        QRectF place;
        double low = 0.0; ///< value at the bottom
        double high = 1.0; ///< value at the top
        bool isLight = true; ///< else residuals
    };

    [[nodiscard]] double xOf(const QRectF& place, double ms) const;
    [[nodiscard]] static double yOf(const Lane& lane, double value);
    [[nodiscard]] Lane lightLane(QRectF place, bool goggle) const;
    void paintLaneFrame(QPainter& painter, const Lane& lane, const QString& name) const;
    void paintTrace(QPainter& painter, const Lane& lane, bool goggle) const;
    void paintDots(QPainter& painter, const Lane& lane, bool goggle, bool residuals) const;
    void paintResiduals(QPainter& painter, const Lane& lane) const;
    void paintMarks(QPainter& painter, const QRectF& lanes, const Lane& goggle) const;
    void paintMarkNames(QPainter& painter, const QRectF& lanes) const;
    void paintLatency(QPainter& painter, const Lane& reference, const Lane& goggle) const;
    void paintAxis(QPainter& painter, const QRectF& lanes) const;
    [[nodiscard]] double line() const;

    const report::PressExplanation& m_explanation;
    const ExplanationInk& m_ink;
};

} // namespace twinlamp::ui

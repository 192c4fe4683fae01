// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/plots/chart_data.h"
#include "ui/plots/ruler.h"
#include "ui/theme/theme.h"

#include <QBrush>
#include <QRectF>

class QPainter;

namespace twinlamp::ui {

/// Rectangles of a chart's parts, all of one width.
struct ChartPlaces
{
    QRectF legend;
    QRectF histogram;
    QRectF distribution;
    QRectF strips; ///< empty where no series is drawn press by press
    QRectF ruler;
};

/// Room to the left of the panes, for their scales.
inline constexpr double chartGutter = 52.0;

[[nodiscard]] ChartPlaces chartPlaces(const QRectF& whole, const ChartData& data);

/// Paints the parts of a chart in the colours in force.
class ChartPainter
{
public:
    /// `shares`: bin shares of each series. All are kept by reference.
    ChartPainter(QPainter& painter, const ChartData& data,
        const std::vector<std::vector<double>>& shares, const AxisMapping& axis);

    void legend(const QRectF& rect);
    void histogram(const QRectF& rect);
    void distribution(const QRectF& rect);
    void strips(const QRectF& rect);
    void ruler(const QRectF& rect);
    /// The late limit through all panes.
    void limit(const ChartPlaces& places);

private:
    void grid(const QRectF& rect);
    void heading(const QRectF& rect, const QString& text);
    void bars(std::size_t series, const QRectF& rect, double base, double reach, double tallest);
    void curveBars(std::size_t curve, const QRectF& rect, double reach, double tallest);
    void steps(std::size_t series, const QRectF& rect);
    void mark(QPointF at, std::size_t series);
    void cross(QPointF at);
    [[nodiscard]] QBrush brushOf(std::size_t series) const;
    [[nodiscard]] double tallestShare() const;

    QPainter& m_painter;
    const ChartData& m_data;
    const std::vector<std::vector<double>>& m_shares;
    AxisMapping m_axis;
};

/// Colour of a reckoned curve, by its place.
[[nodiscard]] QColor curveColour(std::size_t curve);

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/plots/latency_chart.h"

#include "ui/plots/chart_painter.h"
#include "ui/plots/histogram_geometry.h"
#include "ui/widgets/figures.h"

#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>

#include <algorithm>
#include <utility>

namespace twinlamp::ui {

LatencyChart::LatencyChart(QWidget* parent)
    : QWidget(parent)
{
    setMouseTracking(true);
    setFocusPolicy(Qt::StrongFocus);
    setAccessibleName(tr("Histograms, distributions and presses on one millisecond axis"));
    setToolTip(tr("Move the mouse, or press Left and Right, to read shares at a latency in ms"));
}

void LatencyChart::setData(ChartData data)
{
    m_data = std::move(data);
    m_shares.clear();
    for (const ChartSeries& series : m_data.series) {
        m_shares.push_back(binSharesOf(series, m_data.axis));
    }
    setAccessibleDescription(binRule());
    update();
}

QString LatencyChart::binRule() const
{
    if (m_data.axis.bins == 0) {
        return {};
    }
    const QString width = msText(m_data.binWidthMs(), m_data.binWidthMs() < 0.1 ? 2 : 1);
    return m_data.series.empty()
        ? tr("Bins of %1: as Freedman and Diaconis would choose them for 2000 presses.").arg(width)
        : tr("Bins of %1: twice the interquartile range over the cube root of the number of "
             "presses (Freedman and Diaconis), rounded to 1, 2 or 5; edges on multiples.")
              .arg(width);
}

AxisMapping LatencyChart::mapping() const
{
    const ChartPlaces places = chartPlaces(rect(), m_data);
    return histogramMapping(m_data.axis, places.ruler.left(), places.ruler.right());
}

QString LatencyChart::reading() const
{
    if (!m_readAt) {
        return {};
    }
    QStringList shares;
    for (const ChartSeries& series : m_data.series) {
        shares << (series.letter.isEmpty() ? series.name : series.letter) % u' '
                % numberText(100.0 * series.shareWithin(*m_readAt), 0) % thinSpace % u'%';
    }
    for (const ChartCurve& curve : m_data.curves) {
        const auto after = std::ranges::upper_bound(
            curve.distribution, *m_readAt, {}, [](const QPointF& point) { return point.x(); });
        const double share = after == curve.distribution.begin() ? 0.0 : std::prev(after)->y();
        shares << curve.letter % u' ' % numberText(100.0 * share, 0) % thinSpace % u'%';
    }
    return tr("%1: %2 answered by then")
        .arg(msText(*m_readAt, 1), shares.join(QStringLiteral(", ")));
}

void LatencyChart::paintEvent(QPaintEvent* /*event*/)
{
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    if (m_data.axis.bins == 0) {
        painter.setPen(colours()[ColourRole::QuietText]);
        painter.drawText(rect(), Qt::AlignCenter | Qt::TextWordWrap,
            tr("No press with a latency yet. Measure clips on the Bench page."));
        return;
    }
    const ChartPlaces places = chartPlaces(rect(), m_data);
    ChartPainter chart(painter, m_data, m_shares, mapping());
    chart.legend(places.legend);
    chart.histogram(places.histogram);
    chart.distribution(places.distribution);
    if (!places.strips.isEmpty()) {
        chart.strips(places.strips);
    }
    chart.ruler(places.ruler);
    chart.limit(places);
    if (m_readAt) {
        const double x = mapping().toPx(*m_readAt);
        painter.setPen(QPen(colours()[ColourRole::Goggle], 1));
        painter.drawLine(QPointF(x, places.histogram.top()), QPointF(x, places.ruler.top()));
        painter.setFont(typeFont(TypeSize::Small, true));
        const QString words = reading();
        const double width = painter.fontMetrics().horizontalAdvance(words) + 12.0;
        const double left = std::min(x + 6.0, places.histogram.right() - width);
        const QRectF box(left, places.distribution.bottom() - 22.0, width, 18.0);
        painter.fillRect(box, colours()[ColourRole::Raised]);
        painter.setPen(colours()[ColourRole::Text]);
        painter.drawText(box, Qt::AlignCenter, words);
    }
    if (hasFocus()) {
        painter.setPen(QPen(colours()[ColourRole::StrongLine], 1));
        painter.setBrush(Qt::NoBrush);
        painter.drawRect(QRectF(rect()).adjusted(0.5, 0.5, -0.5, -0.5));
    }
}

void LatencyChart::setReadAt(std::optional<double> ms)
{
    if (ms && m_data.axis.bins > 0) {
        const AxisMapping axis = mapping();
        ms = std::clamp(*ms, axis.low, axis.high);
    }
    if (ms != m_readAt) {
        m_readAt = ms;
        update();
    }
}

void LatencyChart::mouseMoveEvent(QMouseEvent* event)
{
    const AxisMapping axis = mapping();
    const double x = event->position().x();
    const bool isInside = m_data.axis.bins > 0 && x >= axis.firstPx && x <= axis.lastPx;
    setReadAt(isInside ? std::optional(axis.toValue(x)) : std::nullopt);
}

void LatencyChart::leaveEvent(QEvent* /*event*/) { setReadAt(std::nullopt); }

void LatencyChart::keyPressEvent(QKeyEvent* event)
{
    const int key = event->key();
    if ((key != Qt::Key_Left && key != Qt::Key_Right) || m_data.axis.bins == 0) {
        QWidget::keyPressEvent(event);
        return;
    }
    const AxisMapping axis = mapping();
    const double start = m_readAt.value_or((axis.low + axis.high) / 2.0);
    const double step = m_data.binWidthMs() / 2.0;
    setReadAt(start + (key == Qt::Key_Left ? -step : step));
    setAccessibleDescription(reading());
}

void LatencyChart::focusOutEvent(QFocusEvent* event)
{
    setReadAt(std::nullopt);
    QWidget::focusOutEvent(event);
    update();
}

} // namespace twinlamp::ui

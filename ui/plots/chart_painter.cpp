// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/plots/chart_painter.h"

#include "ui/widgets/figures.h"

#include <QCoreApplication>
#include <QPainter>
#include <QPainterPath>

#include <algorithm>

namespace twinlamp::ui {

namespace {

constexpr double gap = 12.0;
constexpr double tickGapPx = 56.0;
constexpr double headingGap = 4.0;
constexpr double swatch = 10.0;

class Words
{
    Q_DECLARE_TR_FUNCTIONS(LatencyChart)
public:
    static QString histogram(const QString& width)
    {
        return tr("Share of presses in bins of %1").arg(width);
    }

    static QString distribution() { return tr("Share of presses answered by then"); }

    static QString strips() { return tr("Presses in time order, run by run"); }

    static QString limit() { return tr("late limit"); }

    static QString lost() { return tr("\u00D7 lost"); }

    static QString simulated() { return tr("marks: simulated"); }
};

double smallLine() { return QFontMetricsF(typeFont(TypeSize::Small)).height(); }

QColor inkOf() { return colours()[ColourRole::Text]; }

} // namespace

QColor curveColour(std::size_t curve)
{
    return colours()[curve == 0 ? ColourRole::Goggle : ColourRole::Reference];
}

ChartPlaces chartPlaces(const QRectF& whole, const ChartData& data)
{
    ChartPlaces places;
    const double left = whole.left() + chartGutter;
    const double width = std::max(40.0, whole.width() - chartGutter - 12.0);
    const double rulerHeight = smallLine() + 12.0;
    places.legend = {whole.left() + 4.0, whole.top(), whole.width() - 8.0, smallLine() + 6.0};
    places.ruler = {left, whole.bottom() - rulerHeight, width, rulerHeight};
    const double top = places.legend.bottom() + 4.0;
    const bool hasStrips = data.curves.empty();
    const double room = std::max(60.0, places.ruler.top() - top - (hasStrips ? 2.0 : 1.0) * gap);
    const double histogramShare = hasStrips ? 0.34 : 0.58;
    const double distributionShare = hasStrips ? 0.26 : 0.42;
    places.histogram = {left, top, width, room * histogramShare};
    places.distribution = {left, places.histogram.bottom() + gap, width, room * distributionShare};
    if (hasStrips) {
        places.strips = {left, places.distribution.bottom() + gap, width,
            room * (1.0 - histogramShare - distributionShare)};
    }
    return places;
}

ChartPainter::ChartPainter(QPainter& painter, const ChartData& data,
    const std::vector<std::vector<double>>& shares, const AxisMapping& axis)
    : m_painter(painter)
    , m_data(data)
    , m_shares(shares)
    , m_axis(axis)
{
}

void ChartPainter::grid(const QRectF& rect)
{
    m_painter.fillRect(rect, colours()[ColourRole::Surface]);
    m_painter.setRenderHint(QPainter::Antialiasing, false);
    m_painter.setPen(QPen(colours()[ColourRole::Line], 1, Qt::DotLine));
    for (const RulerTick& tick : rulerTicks(m_axis, tickGapPx)) {
        const double x = m_axis.toPx(tick.value);
        m_painter.drawLine(QPointF(x, rect.top()), QPointF(x, rect.bottom()));
    }
    m_painter.setRenderHint(QPainter::Antialiasing);
}

void ChartPainter::heading(const QRectF& rect, const QString& text)
{
    m_painter.setFont(typeFont(TypeSize::Small));
    const QRectF words = QFontMetricsF(m_painter.font()).boundingRect(text);
    const QRectF at(rect.left() + 6.0, rect.top() + 2.0, words.width() + 8.0, smallLine());
    QColor ground = colours()[ColourRole::Surface];
    ground.setAlphaF(0.85F);
    m_painter.fillRect(at.adjusted(-3.0, 0.0, 0.0, 0.0), ground);
    m_painter.setPen(colours()[ColourRole::QuietText]);
    m_painter.drawText(at, Qt::AlignLeft | Qt::AlignVCenter, text);
}

void ChartPainter::legend(const QRectF& rect)
{
    m_painter.setFont(typeFont(TypeSize::Base));
    double x = rect.left();
    const double middle = rect.center().y();
    const auto name = [&](const QString& text) {
        m_painter.setPen(inkOf());
        const double width = m_painter.fontMetrics().horizontalAdvance(text) + 2.0;
        m_painter.drawText(
            QRectF(x, rect.top(), width, rect.height()), Qt::AlignLeft | Qt::AlignVCenter, text);
        x += width + 20.0;
    };
    for (std::size_t i = 0; i < m_data.series.size(); ++i) {
        const QRectF box(x, middle - swatch / 2.0, swatch, swatch);
        m_painter.setPen(QPen(inkOf(), 1));
        m_painter.setBrush(brushOf(i));
        m_painter.drawRect(box);
        x += swatch + 6.0;
        const ChartSeries& series = m_data.series[i];
        name(series.letter.isEmpty() ? series.name : series.letter % u": " % series.name);
    }
    for (std::size_t i = 0; i < m_data.curves.size(); ++i) {
        m_painter.setPen(QPen(curveColour(i), 2, i == 0 ? Qt::SolidLine : Qt::DashLine));
        m_painter.drawLine(QPointF(x, middle), QPointF(x + 2.2 * swatch, middle));
        x += 2.2 * swatch + 6.0;
        name(m_data.curves[i].name);
    }
    if (!m_data.curves.empty()) {
        name(Words::simulated());
    }
}

/// Filled, then hatched; quiet where curves have to be seen in front of it.
QBrush ChartPainter::brushOf(std::size_t series) const
{
    if (series > 0) {
        return {inkOf(), Qt::BDiagPattern};
    }
    return m_data.curves.empty() ? inkOf() : colours()[ColourRole::Line];
}

double ChartPainter::tallestShare() const
{
    double tallest = 1e-6;
    const auto take = [&tallest](const std::vector<double>& shares) {
        for (const double share : shares) {
            tallest = std::max(tallest, share);
        }
    };
    for (const std::vector<double>& shares : m_shares) {
        take(shares);
    }
    for (const ChartCurve& curve : m_data.curves) {
        take(curve.binShares);
        take(curve.simulatedShares);
    }
    return tallest;
}

void ChartPainter::bars(
    std::size_t series, const QRectF& rect, double base, double reach, double tallest)
{
    m_painter.setPen(series == 0 ? QPen(Qt::NoPen) : QPen(inkOf(), 1));
    m_painter.setBrush(brushOf(series));
    const std::vector<double>& shares = m_shares[series];
    for (std::size_t bin = 0; bin < shares.size(); ++bin) {
        if (shares[bin] <= 0.0) {
            continue;
        }
        const double from = m_axis.toPx(toMs(m_data.axis.lowerEdge(bin)));
        const double to = m_axis.toPx(toMs(m_data.axis.lowerEdge(bin + 1)));
        const double height = reach * shares[bin] / tallest;
        const QRectF bar(from, base, std::max(1.0, to - from - 1.0), -height);
        m_painter.drawRect(bar.normalized().intersected(rect));
    }
}

void ChartPainter::curveBars(std::size_t curve, const QRectF& rect, double reach, double tallest)
{
    const ChartCurve& one = m_data.curves[curve];
    const auto point = [&](const std::vector<double>& shares, std::size_t bin) {
        const double x = m_axis.toPx(toMs(m_data.axis.lowerEdge(bin)) + m_data.binWidthMs() / 2.0);
        return QPointF(x, rect.bottom() - reach * shares[bin] / tallest);
    };
    m_painter.setBrush(Qt::NoBrush);
    m_painter.setPen(QPen(curveColour(curve), 2, curve == 0 ? Qt::SolidLine : Qt::DashLine));
    QPolygonF line;
    for (std::size_t bin = 0; bin < one.binShares.size(); ++bin) {
        line << point(one.binShares, bin);
    }
    m_painter.drawPolyline(line);
    m_painter.setPen(QPen(curveColour(curve), 1.2));
    m_painter.setBrush(colours()[ColourRole::Surface]);
    for (std::size_t bin = 0; bin < one.simulatedShares.size(); ++bin) {
        if (one.simulatedShares[bin] <= 0.0) {
            continue;
        }
        const QPointF at = point(one.simulatedShares, bin);
        if (curve == 0) {
            m_painter.drawEllipse(at, 2.5, 2.5);
        } else {
            m_painter.drawRect(QRectF(at.x() - 2.3, at.y() - 2.3, 4.6, 4.6));
        }
    }
}

void ChartPainter::histogram(const QRectF& rect)
{
    grid(rect);
    const double tallest = tallestShare();
    const bool mirrored = m_data.series.size() > 1;
    const double head = smallLine() + headingGap;
    const double base = mirrored ? rect.top() + head + (rect.height() - head) / 2.0 : rect.bottom();
    const double reach = (mirrored ? (rect.height() - head) / 2.0 : rect.height() - head) - 3.0;
    m_painter.setRenderHint(QPainter::Antialiasing, false);
    for (std::size_t i = 0; i < m_data.series.size(); ++i) {
        bars(i, rect, base, i == 0 ? reach : -reach, tallest);
    }
    m_painter.setPen(QPen(colours()[ColourRole::StrongLine], 1));
    m_painter.drawLine(QPointF(rect.left(), base), QPointF(rect.right(), base));
    m_painter.setRenderHint(QPainter::Antialiasing);
    for (std::size_t i = 0; i < m_data.curves.size(); ++i) {
        curveBars(i, rect, reach, tallest);
    }
    m_painter.setFont(typeFont(TypeSize::Small));
    m_painter.setPen(colours()[ColourRole::QuietText]);
    const QString scale = numberText(100.0 * tallest, tallest < 0.1 ? 1 : 0) + thinSpace + u'%';
    const auto label = [&](double y) {
        m_painter.drawText(QRectF(rect.left() - chartGutter, y - smallLine() / 2.0,
                               chartGutter - 6.0, smallLine()),
            Qt::AlignRight | Qt::AlignVCenter, scale);
    };
    label(base - reach);
    if (mirrored) {
        label(base + reach);
    }
    heading(rect, Words::histogram(msText(m_data.binWidthMs(), m_data.binWidthMs() < 0.1 ? 2 : 1)));
}

void ChartPainter::steps(std::size_t series, const QRectF& rect)
{
    std::vector<double> sorted = m_data.series[series].latenciesMs();
    if (sorted.empty()) {
        return;
    }
    std::ranges::sort(sorted);
    const auto all = static_cast<double>(m_data.series[series].presses());
    const auto y = [&rect](double share) { return rect.bottom() - share * rect.height(); };
    QPainterPath path(QPointF(m_axis.firstPx, y(0.0)));
    double share = 0.0;
    for (std::size_t i = 0; i < sorted.size(); ++i) {
        const double x = m_axis.toPx(sorted[i]);
        path.lineTo(x, y(share));
        share = static_cast<double>(i + 1) / all;
        path.lineTo(x, y(share));
    }
    path.lineTo(m_axis.lastPx, y(share));
    m_painter.setBrush(Qt::NoBrush);
    m_painter.setPen(
        QPen(inkOf(), series == 0 ? 2.0 : 1.4, series == 0 ? Qt::SolidLine : Qt::DashLine));
    m_painter.drawPath(path);
}

void ChartPainter::distribution(const QRectF& rect)
{
    grid(rect);
    m_painter.setFont(typeFont(TypeSize::Small));
    const QRectF plot = rect.adjusted(0.0, 3.0, 0.0, -2.0);
    for (const double share : {0.0, 0.5, 1.0}) {
        const double y = plot.bottom() - share * plot.height();
        m_painter.setPen(QPen(colours()[ColourRole::Line], 1, Qt::DotLine));
        m_painter.drawLine(QPointF(rect.left(), y), QPointF(rect.right(), y));
        m_painter.setPen(colours()[ColourRole::QuietText]);
        m_painter.drawText(QRectF(rect.left() - chartGutter, y - smallLine() / 2.0,
                               chartGutter - 6.0, smallLine()),
            Qt::AlignRight | Qt::AlignVCenter,
            numberText(100.0 * share, 0) + thinSpace + QLatin1Char('%'));
    }
    m_painter.save();
    m_painter.setClipRect(rect);
    for (std::size_t i = 0; i < m_data.series.size(); ++i) {
        steps(i, plot);
    }
    for (std::size_t i = 0; i < m_data.curves.size(); ++i) {
        QPolygonF line;
        for (const QPointF& point : m_data.curves[i].distribution) {
            line << QPointF(m_axis.toPx(point.x()), plot.bottom() - point.y() * plot.height());
        }
        m_painter.setPen(QPen(curveColour(i), 2, i == 0 ? Qt::SolidLine : Qt::DashLine));
        m_painter.drawPolyline(line);
    }
    m_painter.restore();
    heading(rect, Words::distribution());
}

void ChartPainter::mark(QPointF at, std::size_t series)
{
    m_painter.setPen(QPen(inkOf(), 1.2));
    m_painter.setBrush(series == 0 ? QBrush(inkOf()) : QBrush(colours()[ColourRole::Surface]));
    m_painter.drawEllipse(at, 2.4, 2.4);
}

void ChartPainter::cross(QPointF at)
{
    constexpr double arm = 3.0;
    m_painter.setPen(QPen(colours()[ColourRole::Doubt], 1.6));
    m_painter.drawLine(at + QPointF(-arm, -arm), at + QPointF(arm, arm));
    m_painter.drawLine(at + QPointF(-arm, arm), at + QPointF(arm, -arm));
}

void ChartPainter::strips(const QRectF& rect)
{
    grid(rect);
    const double head = smallLine() + headingGap;
    std::size_t runs = 0;
    bool anyLost = false;
    for (const ChartSeries& series : m_data.series) {
        runs += series.runs.size();
        anyLost = anyLost
            || std::ranges::any_of(series.runs, [](const ChartRun& run) { return run.lost > 0; });
    }
    if (runs == 0) {
        return;
    }
    const double band = (rect.height() - head) / static_cast<double>(runs);
    double top = rect.top() + head;
    m_painter.setFont(typeFont(TypeSize::Small));
    for (std::size_t i = 0; i < m_data.series.size(); ++i) {
        for (std::size_t r = 0; r < m_data.series[i].runs.size(); ++r) {
            const ChartRun& run = m_data.series[i].runs[r];
            m_painter.setPen(
                QPen(colours()[r == 0 ? ColourRole::StrongLine : ColourRole::Line], 1));
            m_painter.drawLine(QPointF(rect.left() - 6.0, top), QPointF(rect.right(), top));
            if (band >= smallLine() * 0.8) {
                m_painter.setPen(colours()[ColourRole::QuietText]);
                m_painter.drawText(QRectF(rect.left() - chartGutter, top, chartGutter - 6.0, band),
                    Qt::AlignRight | Qt::AlignVCenter,
                    m_data.series[i].letter % u' ' % QString::number(r + 1));
            }
            const double step = band / static_cast<double>(run.latenciesMs.size() + 1);
            for (std::size_t k = 0; k < run.latenciesMs.size(); ++k) {
                mark({m_axis.toPx(run.latenciesMs[k]), top + step * static_cast<double>(k + 1)}, i);
            }
            for (std::int64_t k = 0; k < run.lost; ++k) {
                cross({rect.right() - 6.0 - 7.0 * static_cast<double>(k % 8), top + band / 2.0});
            }
            top += band;
        }
    }
    heading(rect, anyLost ? Words::strips() % u"   " % Words::lost() : Words::strips());
}

void ChartPainter::ruler(const QRectF& rect)
{
    m_painter.setFont(typeFont(TypeSize::Small));
    m_painter.setPen(QPen(colours()[ColourRole::StrongLine], 1));
    m_painter.drawLine(rect.topLeft(), rect.topRight());
    const QString unit = QStringLiteral("ms");
    const double unitWidth = m_painter.fontMetrics().horizontalAdvance(unit);
    const double textTop = rect.top() + 6.0;
    for (const RulerTick& tick : rulerTicks(m_axis, tickGapPx)) {
        const double x = m_axis.toPx(tick.value);
        m_painter.setPen(QPen(colours()[ColourRole::StrongLine], 1));
        m_painter.drawLine(QPointF(x, rect.top()), QPointF(x, rect.top() + 4.0));
        const double width = m_painter.fontMetrics().horizontalAdvance(tick.label);
        if (x + width / 2.0 + 6.0 < rect.right() - unitWidth) {
            m_painter.setPen(colours()[ColourRole::QuietText]);
            m_painter.drawText(
                QRectF(x - width / 2.0, textTop, width + 1.0, smallLine()), tick.label);
        }
    }
    m_painter.setPen(colours()[ColourRole::QuietText]);
    m_painter.drawText(
        QRectF(rect.right() - unitWidth, textTop, unitWidth + 1.0, smallLine()), unit);
}

void ChartPainter::limit(const ChartPlaces& places)
{
    if (!m_data.limitMs) {
        return;
    }
    const double x = m_axis.toPx(*m_data.limitMs);
    if (x < m_axis.firstPx || x > m_axis.lastPx) {
        return;
    }
    m_painter.setPen(QPen(colours()[ColourRole::Doubt], 1.4, Qt::DashDotLine));
    for (const QRectF& pane : {places.histogram, places.distribution, places.strips}) {
        m_painter.drawLine(QPointF(x, pane.top()), QPointF(x, pane.bottom()));
    }
    m_painter.setFont(typeFont(TypeSize::Small));
    const QString words = Words::limit();
    const double width = m_painter.fontMetrics().horizontalAdvance(words) + 4.0;
    const bool toTheLeft = x + width + 4.0 > places.histogram.right();
    m_painter.setPen(colours()[ColourRole::Doubt]);
    m_painter.drawText(QRectF(toTheLeft ? x - width - 2.0 : x + 4.0, places.histogram.top() + 2.0,
                           width, smallLine()),
        words);
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/explain/trace_chart.h"

#include "ui/explain/hatching.h"
#include "ui/footage/region_painter.h"
#include "ui/widgets/figures.h"

#include <QCoreApplication>
#include <QFontMetricsF>
#include <QPainter>
#include <QPainterPath>

#include <algorithm>
#include <array>
#include <cmath>

namespace twinlamp::ui {

using report::ExplainedMark;
using report::ExplainedSample;
using report::ExplainedTrace;
using report::PressMark;

namespace {

constexpr double laneHeight = 84.0;
constexpr double residualHeight = 64.0;
constexpr double laneGap = 22.0;
constexpr double namesWidth = 124.0;
constexpr int markNameRows = 3;

QString tr(const char* text) { return QCoreApplication::translate("Explanation", text); }

ColourRole roleOf(bool goggle) { return goggle ? ColourRole::Goggle : ColourRole::Reference; }

QString markName(PressMark mark)
{
    switch (mark) {
    case PressMark::Onset:
        return tr("onset");
    case PressMark::FirstLight:
        return tr("first light");
    case PressMark::HalfLight:
        return tr("half light");
    case PressMark::Settled:
        return tr("settled");
    case PressMark::FullFrame:
        return tr("full frame");
    }
    return {};
}

QPen penOf(PressMark mark, const Colours& colours)
{
    switch (mark) {
    case PressMark::Onset:
        return {colours[ColourRole::Reference], 1.6};
    case PressMark::FirstLight:
        return {colours[ColourRole::Goggle], 1.6};
    case PressMark::FullFrame:
        return {colours[ColourRole::Panel], 1.6, Qt::DotLine};
    case PressMark::HalfLight:
    case PressMark::Settled:
        break;
    }
    return {colours[ColourRole::Goggle], 1.0, Qt::DashLine};
}

QString percentText(double share)
{
    const double percent = 100.0 * share;
    const int decimals = std::abs(percent) >= 1.0 || percent == 0.0 ? 0 : 1;
    return numberText(percent, decimals) % thinSpace % QLatin1Char('%');
}

} // namespace

double residualReach(const report::PressExplanation& explanation)
{
    double largest = 0.0;
    for (const ExplainedTrace* trace : {&explanation.reference, &explanation.goggle}) {
        largest = std::max(largest, 2.2 * trace->residualDeviation.value_or(0.0));
        for (const ExplainedSample& sample : trace->samples) {
            largest = std::max(largest, std::abs(sample.residual.value_or(0.0)));
        }
    }
    constexpr double least = 0.005;
    largest = std::max(largest, least);
    const double decade = std::pow(10.0, std::floor(std::log10(largest)));
    for (const double step : {1.0, 2.0, 5.0, 10.0}) {
        if (largest <= step * decade * (1.0 + 1e-9)) {
            return step * decade;
        }
    }
    return largest;
}

void placeMarkNames(std::vector<MarkName>& names, double left, double right)
{
    // From the right: a name stands above all lines that it would cross, which end below it.
    for (std::size_t i = names.size(); i-- > 0;) {
        MarkName& name = names[i];
        const double before = i > 0 ? names[i - 1].x : left;
        const bool fitsLeft = name.x - name.width - MarkName::air > before + MarkName::air;
        name.toTheLeft = (i == 1 && fitsLeft) || name.x + MarkName::air + name.width > right;
        name.row = 0;
        for (std::size_t j = i + 1; j < names.size(); ++j) {
            const double starts
                = names[j].row < 0 ? names[j].x : std::min(names[j].x, names[j].textLeft());
            if (starts < name.textLeft() + name.width + MarkName::air
                && starts >= name.textLeft()) {
                name.row = std::max(name.row, names[j].row + 1);
            }
        }
        if (name.row >= markNameRows) {
            name.row = -1; // its line stands without a name
        }
    }
}

double TraceChart::line() const { return QFontMetricsF(m_ink.small()).height(); }

double TraceChart::height() const
{
    return markNameRows * line() + 2.0 * laneHeight + residualHeight + 2.0 * laneGap + 2.4 * line();
}

double TraceChart::xOf(const QRectF& place, double ms) const
{
    return place.left()
        + (ms - m_explanation.firstMs) / (m_explanation.lastMs - m_explanation.firstMs)
        * place.width();
}

double TraceChart::yOf(const Lane& lane, double value)
{
    return lane.place.bottom() - (value - lane.low) / (lane.high - lane.low) * lane.place.height();
}

TraceChart::Lane TraceChart::lightLane(QRectF place, bool goggle) const
{
    // A strobed panel's pulses reach far beyond the levels of its mean light.
    constexpr double air = 0.12;
    Lane lane {place, -air, 1.0 + air, true};
    for (const ExplainedSample& sample :
        (goggle ? m_explanation.goggle : m_explanation.reference).samples) {
        const double model = sample.model.value_or(sample.light);
        lane.low = std::min({lane.low, sample.light - air, model - air});
        lane.high = std::max({lane.high, sample.light + air, model + air});
    }
    return lane;
}

void TraceChart::paintLaneFrame(QPainter& painter, const Lane& lane, const QString& name) const
{
    painter.setFont(m_ink.small());
    painter.setPen(m_ink.colours[ColourRole::Text]);
    painter.drawText(QRectF(lane.place.left() - namesWidth, lane.place.top(), namesWidth - 44.0,
                         lane.place.height()),
        Qt::AlignLeft | Qt::AlignVCenter | Qt::TextWordWrap, name);
    const std::array<double, 3> ticks = lane.isLight
        ? std::array<double, 3> {0.0, 0.5, 1.0}
        : std::array<double, 3> {lane.low, 0.0, lane.high};
    for (const double tick : ticks) {
        const double y = yOf(lane, tick);
        painter.setPen(QPen(m_ink.colours[ColourRole::Line], 1.0));
        painter.drawLine(QPointF(lane.place.left(), y), QPointF(lane.place.right(), y));
        painter.setPen(m_ink.colours[ColourRole::QuietText]);
        painter.drawText(QRectF(lane.place.left() - 48.0, y - line(), 44.0, 2.0 * line()),
            Qt::AlignRight | Qt::AlignVCenter, percentText(tick));
    }
}

void TraceChart::paintDots(QPainter& painter, const Lane& lane, bool goggle, bool residuals) const
{
    const ExplainedTrace& trace = goggle ? m_explanation.goggle : m_explanation.reference;
    if (trace.samples.empty()) {
        return;
    }
    const double spacing
        = lane.place.width() / std::max(1.0, static_cast<double>(trace.samples.size()));
    const double size = std::clamp(0.7 * spacing, 2.4, 6.0);
    painter.setPen(Qt::NoPen);
    painter.setBrush(m_ink.colours[roleOf(goggle)]);
    for (const ExplainedSample& sample : trace.samples) {
        if (residuals && !sample.residual) {
            continue;
        }
        const double value = residuals ? *sample.residual : sample.light;
        const QPointF at(xOf(lane.place, sample.sinceOnsetMs),
            yOf(lane, std::clamp(value, lane.low, lane.high)));
        QRectF dot(0, 0, size, size);
        dot.moveCenter(at);
        if (goggle) {
            painter.drawRect(dot);
        } else {
            painter.drawEllipse(dot);
        }
    }
}

void TraceChart::paintTrace(QPainter& painter, const Lane& lane, bool goggle) const
{
    paintDots(painter, lane, goggle, false);
    const ExplainedTrace& trace = goggle ? m_explanation.goggle : m_explanation.reference;
    QPainterPath path;
    bool begun = false;
    for (const ExplainedSample& sample : trace.samples) {
        if (!sample.model) {
            begun = false;
            continue;
        }
        const QPointF at(xOf(lane.place, sample.sinceOnsetMs), yOf(lane, *sample.model));
        if (begun) {
            path.lineTo(at);
        } else {
            path.moveTo(at);
        }
        begun = true;
    }
    painter.setBrush(Qt::NoBrush);
    painter.setPen(QPen(m_ink.colours[ColourRole::Text], 1.3));
    painter.drawPath(path);
}

void TraceChart::paintResiduals(QPainter& painter, const Lane& lane) const
{
    for (const bool goggle : {false, true}) {
        const ExplainedTrace& trace = goggle ? m_explanation.goggle : m_explanation.reference;
        if (!trace.residualDeviation) {
            continue;
        }
        double first = m_explanation.lastMs;
        double last = m_explanation.firstMs;
        for (const ExplainedSample& sample : trace.samples) {
            if (sample.residual) {
                first = std::min(first, sample.sinceOnsetMs);
                last = std::max(last, sample.sinceOnsetMs);
            }
        }
        const double two = 2.0 * *trace.residualDeviation;
        const QRectF band(QPointF(xOf(lane.place, first) - 3.0, yOf(lane, two)),
            QPointF(xOf(lane.place, last) + 3.0, yOf(lane, -two)));
        QColor fill = m_ink.colours[roleOf(goggle)];
        fill.setAlphaF(0.16F);
        painter.fillRect(band, fill);
        painter.setPen(QPen(m_ink.colours[roleOf(goggle)], 1.0, Qt::DashLine));
        painter.drawLine(band.topLeft(), band.topRight());
        painter.drawLine(band.bottomLeft(), band.bottomRight());
    }
    painter.setPen(QPen(m_ink.colours[ColourRole::StrongLine], 1.0));
    painter.drawLine(
        QPointF(lane.place.left(), yOf(lane, 0.0)), QPointF(lane.place.right(), yOf(lane, 0.0)));
    paintDots(painter, lane, false, true);
    paintDots(painter, lane, true, true);
}

void TraceChart::paintMarks(QPainter& painter, const QRectF& lanes, const Lane& goggle) const
{
    for (const ExplainedMark& mark : m_explanation.marks) {
        const double x = xOf(lanes, mark.sinceOnsetMs);
        const bool acrossAll = mark.mark == PressMark::Onset || mark.mark == PressMark::FirstLight;
        if (mark.mark == PressMark::FirstLight && m_explanation.budget) {
            const double half = m_explanation.budget->halfWidthMs;
            const QRectF doubt(QPointF(xOf(lanes, mark.sinceOnsetMs - half), goggle.place.top()),
                QPointF(xOf(lanes, mark.sinceOnsetMs + half), goggle.place.bottom()));
            drawHatching(painter, doubt, m_ink.colours[ColourRole::Goggle]);
        }
        painter.setPen(penOf(mark.mark, m_ink.colours));
        painter.drawLine(QPointF(x, lanes.top()),
            QPointF(x, acrossAll ? lanes.bottom() : goggle.place.bottom()));
    }
}

void TraceChart::paintMarkNames(QPainter& painter, const QRectF& lanes) const
{
    painter.setFont(m_ink.small());
    std::vector<MarkName> names;
    const QFontMetricsF metrics(m_ink.small());
    for (const ExplainedMark& mark : m_explanation.marks) {
        const QString text = mark.mark == PressMark::Onset
            ? markName(mark.mark)
            : markName(mark.mark) % QLatin1Char(' ') % msText(mark.sinceOnsetMs, 1);
        names.push_back(
            {xOf(lanes, mark.sinceOnsetMs), metrics.horizontalAdvance(text) + 2.0, text});
    }
    placeMarkNames(names, lanes.left(), lanes.right());
    for (std::size_t i = 0; i < names.size(); ++i) {
        const MarkName& name = names[i];
        if (name.row < 0) {
            continue;
        }
        const double top = lanes.top() - (name.row + 1.0) * line();
        painter.setPen(penOf(m_explanation.marks[i].mark, m_ink.colours));
        painter.drawLine(QPointF(name.x, top + 2.0), QPointF(name.x, lanes.top()));
        painter.setPen(m_ink.colours[ColourRole::Text]);
        painter.drawText(
            QRectF(name.textLeft(), top, name.width, line()), Qt::AlignLeft, name.text);
    }
}

void TraceChart::paintLatency(QPainter& painter, const Lane& reference, const Lane& goggle) const
{
    if (!m_explanation.latencyMs) {
        return;
    }
    const auto first
        = std::ranges::find(m_explanation.marks, PressMark::FirstLight, &ExplainedMark::mark);
    if (first == m_explanation.marks.end()) {
        return;
    }
    const double y = 0.5 * (reference.place.bottom() + goggle.place.top());
    const double left = xOf(reference.place, 0.0);
    const double right = xOf(reference.place, first->sinceOnsetMs);
    painter.setPen(QPen(m_ink.colours[ColourRole::Text], 1.2));
    painter.drawLine(QPointF(left, y), QPointF(right, y));
    constexpr double head = 4.0;
    for (const auto& [tip, way] : {std::pair(left, 1.0), std::pair(right, -1.0)}) {
        painter.drawLine(QPointF(tip, y), QPointF(tip + way * 1.6 * head, y - head));
        painter.drawLine(QPointF(tip, y), QPointF(tip + way * 1.6 * head, y + head));
    }
    const QString text = tr("latency");
    const QFontMetricsF metrics(m_ink.smallStrong());
    const double width = metrics.horizontalAdvance(text) + 12.0;
    if (right - left < width + 24.0) {
        return;
    }
    const QRectF place(0.5 * (left + right - width), y - 0.5 * line(), width, line());
    painter.fillRect(place, m_ink.colours[ColourRole::Ground]);
    painter.setFont(m_ink.smallStrong());
    painter.drawText(place, Qt::AlignCenter, text);
}

void TraceChart::paintAxis(QPainter& painter, const QRectF& lanes) const
{
    painter.setFont(m_ink.small());
    const double span = m_explanation.lastMs - m_explanation.firstMs;
    constexpr double ticksWanted = 9.0;
    const double decade = std::pow(10.0, std::floor(std::log10(span / ticksWanted)));
    double step = 10.0 * decade;
    for (const double nice : {1.0, 2.0, 5.0}) {
        if (span / (nice * decade) <= ticksWanted) {
            step = nice * decade;
            break;
        }
    }
    for (double tick = std::ceil(m_explanation.firstMs / step) * step; tick <= m_explanation.lastMs;
         tick += step) {
        const double x = xOf(lanes, tick);
        painter.setPen(QPen(m_ink.colours[ColourRole::StrongLine], 1.0));
        painter.drawLine(QPointF(x, lanes.bottom()), QPointF(x, lanes.bottom() + 4.0));
        painter.setPen(m_ink.colours[ColourRole::QuietText]);
        painter.drawText(QRectF(x - 40.0, lanes.bottom() + 4.0, 80.0, line()), Qt::AlignHCenter,
            numberText(tick, step < 1.0 ? 1 : 0));
    }
    painter.drawText(QRectF(lanes.left(), lanes.bottom() + 4.0 + line(), lanes.width(), line()),
        Qt::AlignRight,
        tr("ms of real time since the reference lamp switched; dots: light of each frame, line: "
           "fitted model, band: ±2 standard deviations of the residuals"));
}

void TraceChart::paint(QPainter& painter, QRectF area) const
{
    const QRectF wide(area.left() + namesWidth, area.top() + markNameRows * line(),
        area.width() - namesWidth - 8.0, 2.0 * laneHeight + residualHeight + 2.0 * laneGap);
    const QRectF upper(wide.topLeft(), QSizeF(wide.width(), laneHeight));
    const Lane reference = lightLane(upper, false);
    const Lane goggle = lightLane(upper.translated(0, laneHeight + laneGap), true);
    const double reach = residualReach(m_explanation);
    const Lane residual {
        QRectF(wide.left(), wide.bottom() - residualHeight, wide.width(), residualHeight), -reach,
        reach, false};
    paintLaneFrame(painter, reference, tr("reference lamp"));
    paintLaneFrame(painter, goggle, tr("goggle lamp"));
    paintLaneFrame(painter, residual, tr("residual, share of the step"));
    paintMarks(painter, wide, goggle);
    paintMarkNames(painter, wide);
    paintTrace(painter, reference, false);
    paintTrace(painter, goggle, true);
    paintResiduals(painter, residual);
    paintLatency(painter, reference, goggle);
    paintAxis(painter, wide);
}

} // namespace twinlamp::ui

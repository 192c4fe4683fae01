// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/explain/strip_painter.h"

#include "ui/explain/hatching.h"
#include "ui/footage/region_painter.h"
#include "ui/widgets/figures.h"

#include <QCoreApplication>
#include <QFontMetricsF>
#include <QPainter>

#include <algorithm>
#include <cmath>

namespace twinlamp::ui {

namespace {

constexpr double cellGap = 3.0;
constexpr double groupGap = 28.0;
constexpr double rowGap = 4.0;
constexpr double largestCell = 96.0;
constexpr double smallestCell = 24.0;

QString tr(const char* text) { return QCoreApplication::translate("Explanation", text); }

ColourRole roleOf(bool goggle) { return goggle ? ColourRole::Goggle : ColourRole::Reference; }

// Enlarged to whole squares, so that no viewer smooths them away.
QImage enlarged(const QImage& picture, double sidePx)
{
    constexpr double dotsPerPx = 3.0;
    const int longest = std::max(picture.width(), picture.height());
    const int factor = std::max(1, static_cast<int>(std::ceil(sidePx * dotsPerPx / longest)));
    return picture.scaled(picture.size() * factor, Qt::IgnoreAspectRatio, Qt::FastTransformation);
}

QString sinceText(double ms)
{
    constexpr double fine = 10.0;
    const QString number = numberText(ms, std::abs(ms) < fine ? 2 : 1);
    return ms > 0.0 ? QLatin1Char('+') % number : number;
}

} // namespace

std::vector<StripColumn> stripColumns(
    const std::vector<report::StripFrame>& strip, double width, double largest)
{
    std::vector<StripColumn> columns;
    int gaps = 0;
    for (std::size_t i = 1; i < strip.size(); ++i) {
        gaps += strip[i].frame > strip[i - 1].frame + 1 ? 1 : 0;
    }
    if (strip.empty()) {
        return columns;
    }
    const auto count = static_cast<double>(strip.size());
    const double room = width - gaps * (groupGap - cellGap) - (count - 1.0) * cellGap;
    const double side = std::clamp(std::floor(room / count), smallestCell, largest);
    double left = 0.0;
    for (std::size_t i = 0; i < strip.size(); ++i) {
        const bool afterGap = i > 0 && strip[i].frame > strip[i - 1].frame + 1;
        left += i == 0 ? 0.0 : afterGap ? groupGap : cellGap;
        columns.push_back({i, left, side, afterGap});
        left += side;
    }
    return columns;
}

double StripPainter::labelWidth() const
{
    const QFontMetricsF metrics(m_ink.small());
    return 20.0
        + std::max(metrics.horizontalAdvance(tr("reference")),
            metrics.horizontalAdvance(tr("ms from onset")));
}

double StripPainter::captionHeight() const { return QFontMetricsF(m_ink.small()).height(); }

double StripPainter::heightFor(double width) const
{
    const auto columns = stripColumns(m_explanation.strip, width - labelWidth(), largestCell);
    return columns.empty()
        ? 0.0
        : captionHeight() + 2.0 * columns.front().side + rowGap + 2.0 * captionHeight() + 4.0;
}

void StripPainter::paintRowName(QPainter& painter, QRectF place, bool goggle) const
{
    const double line = captionHeight();
    drawMark(painter, goggle ? RegionKind::Goggle : RegionKind::Reference,
        {place.left() + 6.0, place.center().y() - 0.5 * line}, 8, m_ink.colours[roleOf(goggle)]);
    painter.setFont(m_ink.small());
    painter.setPen(m_ink.colours[ColourRole::Text]);
    painter.drawText(QRectF(place.left() + 16.0, place.center().y() - line, place.width(), line),
        Qt::AlignLeft | Qt::AlignVCenter, goggle ? tr("goggle") : tr("reference"));
    painter.drawText(QRectF(place.left() + 16.0, place.center().y(), place.width(), line),
        Qt::AlignLeft | Qt::AlignVCenter, tr("lamp"));
}

void StripPainter::paintCell(
    QPainter& painter, QRectF cell, const report::StripFrame& frame, bool goggle) const
{
    painter.fillRect(cell, m_ink.colours[ColourRole::FootageGround]);
    const QImage picture = m_pictures.at(frame.frame, goggle);
    if (!picture.isNull()) {
        QSizeF size(picture.size());
        size.scale(cell.size(), Qt::KeepAspectRatio);
        QRectF place(QPointF(0, 0), size);
        place.moveCenter(cell.center());
        painter.drawImage(place, enlarged(picture, cell.width()));
    } else {
        drawHatching(painter, cell, m_ink.colours[ColourRole::StrongLine]);
    }
    if (goggle ? frame.goggleBegins : frame.referenceBegins) {
        painter.setBrush(Qt::NoBrush);
        painter.setPen(QPen(m_ink.colours[ColourRole::Ground], 4.5));
        painter.drawRect(cell.adjusted(2, 2, -2, -2));
        painter.setPen(QPen(m_ink.colours[roleOf(goggle)], 2.5));
        painter.drawRect(cell.adjusted(1, 1, -1, -1));
    }
}

void StripPainter::paintLabels(
    QPainter& painter, QRectF place, const report::StripFrame& frame) const
{
    const bool begins = frame.referenceBegins || frame.goggleBegins;
    const double line = captionHeight();
    painter.setFont(begins ? m_ink.smallStrong() : m_ink.small());
    painter.setPen(m_ink.colours[ColourRole::Text]);
    painter.drawText(QRectF(place.left() - 8, place.top(), place.width() + 16, line),
        Qt::AlignHCenter | Qt::AlignVCenter, QString::number(frame.frame));
    painter.setPen(m_ink.colours[begins ? ColourRole::Text : ColourRole::QuietText]);
    painter.drawText(QRectF(place.left() - 8, place.top() + line, place.width() + 16, line),
        Qt::AlignHCenter | Qt::AlignVCenter, sinceText(frame.sinceOnsetMs));
}

void StripPainter::paint(QPainter& painter, QRectF area) const
{
    const auto columns
        = stripColumns(m_explanation.strip, area.width() - labelWidth(), largestCell);
    if (columns.empty()) {
        return;
    }
    const double line = captionHeight();
    const double side = columns.front().side;
    const double top = area.top() + line;
    const double below = top + 2.0 * side + rowGap + 2.0;
    for (const bool goggle : {false, true}) {
        paintRowName(painter,
            QRectF(area.left(), top + (goggle ? side + rowGap : 0.0), labelWidth(), side), goggle);
    }
    painter.setPen(m_ink.colours[ColourRole::QuietText]);
    painter.drawText(QRectF(area.left(), below, labelWidth(), line), tr("frame"));
    painter.drawText(QRectF(area.left(), below + line, labelWidth(), line), tr("ms from onset"));
    for (const StripColumn& column : columns) {
        const report::StripFrame& frame = m_explanation.strip[column.frame];
        const double left = area.left() + labelWidth() + column.left;
        paintCell(painter, QRectF(left, top, side, side), frame, false);
        paintCell(painter, QRectF(left, top + side + rowGap, side, side), frame, true);
        paintLabels(painter, QRectF(left, below, side, 2.0 * line), frame);
        painter.setFont(m_ink.smallStrong());
        painter.setPen(m_ink.colours[ColourRole::Text]);
        const QString begins = frame.referenceBegins ? tr("onset")
            : frame.goggleBegins                     ? tr("first light")
                                                     : QString();
        painter.drawText(QRectF(left - 40, area.top(), side + 80, line), Qt::AlignHCenter, begins);
        if (column.afterGap) {
            const double middle = left - 0.5 * groupGap;
            painter.setPen(QPen(m_ink.colours[ColourRole::StrongLine], 1.0, Qt::DotLine));
            painter.drawLine(QPointF(middle, top), QPointF(middle, below));
        }
    }
    if (!m_pictures.missing.isEmpty()) {
        const QRectF place(area.left() + labelWidth(), top + side - 0.8 * line,
            columns.back().left + side, 1.6 * line + rowGap);
        painter.fillRect(place, m_ink.colours[ColourRole::Surface]);
        painter.setFont(m_ink.small());
        painter.setPen(m_ink.colours[ColourRole::Text]);
        painter.drawText(place, Qt::AlignCenter,
            QFontMetricsF(m_ink.small())
                .elidedText(m_pictures.missing, Qt::ElideMiddle, place.width() - 8.0));
    }
}

} // namespace twinlamp::ui

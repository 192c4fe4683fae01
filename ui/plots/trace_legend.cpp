// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/plots/trace_legend.h"

#include "ui/theme/theme.h"

#include <QPainter>

#include <array>

namespace twinlamp::ui {

namespace {

struct Entry
{
    ColourRole role;
    Qt::PenStyle line;
    bool round;
    bool filled;
    QString text;
};

} // namespace

TraceLegend::TraceLegend(QWidget* parent)
    : QWidget(parent)
{
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Fixed);
    setMinimumWidth(40);
}

QSize TraceLegend::sizeHint() const
{
    return {420, QFontMetrics(typeFont(TypeSize::Small)).height() + 2};
}

void TraceLegend::paintEvent(QPaintEvent* /*event*/)
{
    const std::array<Entry, 5> entries {{
        {ColourRole::Reference, Qt::SolidLine, true, true, tr("reference lamp: onset")},
        {ColourRole::Goggle, Qt::SolidLine, false, true, tr("goggle lamp: first light")},
        {ColourRole::Goggle, Qt::SolidLine, false, false, tr("settled")},
        {ColourRole::Panel, Qt::DotLine, false, false, tr("full frame")},
        {ColourRole::Goggle, Qt::DashLine, false, false, tr("half light")},
    }};
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    painter.setFont(typeFont(TypeSize::Small));
    double x = 0.0;
    const double y = height() / 2.0;
    for (const Entry& entry : entries) {
        const double textWidth = painter.fontMetrics().horizontalAdvance(entry.text);
        if (x + 18.0 + textWidth > width()) {
            break; // better a shorter legend than a cut word
        }
        const QColor colour = colours()[entry.role];
        painter.setPen(QPen(colour, 1.5, entry.line));
        painter.drawLine(QPointF(x, y), QPointF(x + 12, y));
        painter.setPen(QPen(colour, 1.5));
        painter.setBrush(entry.filled ? colour : colours()[ColourRole::Ground]);
        const QRectF mark(x + 2.5, y - 3.5, 7, 7);
        if (entry.round) {
            painter.drawEllipse(mark);
        } else {
            painter.drawRect(mark);
        }
        painter.setPen(colours()[ColourRole::QuietText]);
        painter.drawText(QRectF(x + 18, 0, textWidth + 1, height()), Qt::AlignVCenter, entry.text);
        x += 18.0 + textWidth + 16.0;
    }
}

} // namespace twinlamp::ui

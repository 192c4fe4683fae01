// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/pages/bench_sketch.h"

#include "ui/theme/theme.h"

#include <QPainter>

#include <algorithm>

namespace twinlamp::ui {

namespace {

constexpr QSizeF drawn(560, 220);

void caption(QPainter& painter, QPointF centre, const QString& text)
{
    painter.setPen(colours()[ColourRole::QuietText]);
    painter.drawText(QRectF(centre.x() - 110, centre.y(), 220, 18), Qt::AlignHCenter, text);
}

void glow(QPainter& painter, QPointF centre, double radius, const QColor& colour)
{
    QRadialGradient light(centre, radius * 2.6);
    QColor outside = colour;
    outside.setAlphaF(0.35F);
    light.setColorAt(0.0, outside);
    outside.setAlphaF(0.0F);
    light.setColorAt(1.0, outside);
    painter.setPen(Qt::NoPen);
    painter.setBrush(light);
    painter.drawEllipse(centre, radius * 2.6, radius * 2.6);
}

} // namespace

BenchSketch::BenchSketch(QWidget* parent)
    : QWidget(parent)
{
    setSizePolicy(QSizePolicy::Preferred, QSizePolicy::Fixed);
    setAccessibleName(
        tr("What the high-speed camera should see: one lamp directly, the other on the "
           "goggle's screen, both on one switch"));
}

void BenchSketch::paintEvent(QPaintEvent* /*event*/)
{
    const Colours& c = colours();
    const Colours& lit = footageColours();
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    const double scale = std::min(1.0, width() / drawn.width());
    painter.scale(scale, scale);
    painter.setFont(typeFont(TypeSize::Small));

    // The picture that the camera takes.
    painter.setPen(Qt::NoPen);
    painter.setBrush(c[ColourRole::FootageGround]);
    painter.drawRoundedRect(QRectF(0, 0, 560, 176), 6, 6);

    const QPointF reference(120, 88);
    glow(painter, reference, 18, lit[ColourRole::Reference]);
    painter.setBrush(lit[ColourRole::Reference]);
    painter.drawEllipse(reference, 18, 18);

    const QRectF goggle(252, 26, 244, 124);
    painter.setBrush(QColor(0x3A, 0x36, 0x30));
    painter.drawRoundedRect(goggle.adjusted(-10, -10, 10, 10), 14, 14);
    painter.setBrush(QColor(0x6B, 0x66, 0x5C));
    painter.drawRect(goggle);
    painter.setPen(QPen(lit[ColourRole::Panel], 1.5, Qt::DotLine));
    painter.setBrush(Qt::NoBrush);
    painter.drawRect(goggle.adjusted(3, 3, -3, -3));
    const QPointF answer(374, 88);
    glow(painter, answer, 14, lit[ColourRole::Goggle]);
    painter.setBrush(lit[ColourRole::Goggle]);
    painter.drawRoundedRect(QRectF(answer.x() - 14, answer.y() - 14, 28, 28), 3, 3);

    caption(painter, {120, 184}, tr("reference lamp, seen directly"));
    caption(painter, {374, 184}, tr("the other lamp, on the goggle's screen"));
    painter.setPen(QPen(c[ColourRole::StrongLine], 1.5));
    painter.drawLine(QPointF(120, 206), QPointF(374, 206));
    painter.setBrush(c[ColourRole::Ground]);
    painter.drawEllipse(QPointF(247, 206), 4, 4);
    painter.setPen(c[ColourRole::QuietText]);
    const QString one = tr("one switch");
    const double half = painter.fontMetrics().horizontalAdvance(one) / 2.0 + 10;
    painter.fillRect(QRectF(247 - half, 198, 2 * half, 18), c[ColourRole::Ground]);
    painter.drawText(QRectF(247 - half, 198, 2 * half, 18), Qt::AlignCenter, one);
}

} // namespace twinlamp::ui

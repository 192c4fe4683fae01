// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/latency_axis.h"

#include "ui/theme/theme.h"
#include "ui/widgets/figures.h"

#include <QPainter>

namespace twinlamp::ui {

namespace {

constexpr double tickGapPx = 44.0;
constexpr int tickLength = 4;

} // namespace

LatencyAxis::LatencyAxis(QWidget* parent)
    : QWidget(parent)
{
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Fixed);
    setAccessibleName(tr("Latency in milliseconds"));
}

void LatencyAxis::setMapping(const std::optional<AxisMapping>& mapping)
{
    m_mapping = mapping;
    update();
}

QSize LatencyAxis::sizeHint() const
{
    return {120, tickLength + 6 + QFontMetrics(typeFont(TypeSize::Small)).height()};
}

void LatencyAxis::paintEvent(QPaintEvent* /*event*/)
{
    if (!m_mapping) {
        return;
    }
    QPainter painter(this);
    painter.setFont(typeFont(TypeSize::Small));
    painter.setPen(QPen(colours()[ColourRole::StrongLine], 1));
    painter.drawLine(QPointF(m_mapping->firstPx, 0.5), QPointF(m_mapping->lastPx, 0.5));
    const QString unit = QStringLiteral("ms");
    const double unitWidth = painter.fontMetrics().horizontalAdvance(unit);
    const double unitLeft = m_mapping->lastPx - unitWidth;
    for (const RulerTick& tick : rulerTicks(*m_mapping, tickGapPx)) {
        const double x = m_mapping->toPx(tick.value);
        const double width = painter.fontMetrics().horizontalAdvance(tick.label);
        painter.setPen(QPen(colours()[ColourRole::StrongLine], 1));
        painter.drawLine(QPointF(x, 0), QPointF(x, tickLength));
        if (x + width / 2.0 + 4 < unitLeft && x - width / 2.0 >= 0.0) {
            painter.setPen(colours()[ColourRole::QuietText]);
            painter.drawText(QRectF(x - width / 2.0, tickLength + 2, width + 1, height()),
                Qt::AlignTop, tick.label);
        }
    }
    painter.setPen(colours()[ColourRole::QuietText]);
    painter.drawText(QRectF(unitLeft, tickLength + 2, unitWidth + 1, height()), Qt::AlignTop, unit);
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/scrub_bar.h"

#include "ui/theme/theme.h"
#include "ui/widgets/figures.h"

#include <QHelpEvent>
#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>
#include <QToolTip>

#include <algorithm>
#include <cmath>

namespace twinlamp::ui {

namespace {

constexpr double sideMargin = 12.0;
constexpr double trackTop = 4.0;
constexpr double trackHeight = 18.0;
constexpr double labelGapPx = 72.0;
constexpr double pickReachPx = 4.0;

} // namespace

ScrubBar::ScrubBar(QWidget* parent)
    : QWidget(parent)
{
    setFocusPolicy(Qt::StrongFocus);
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Fixed);
    setMouseTracking(true);
    setAccessibleName(tr("Place in the clip"));
}

QSize ScrubBar::sizeHint() const
{
    return {
        320, qRound(trackTop + trackHeight + 4) + QFontMetrics(typeFont(TypeSize::Small)).height()};
}

void ScrubBar::setClip(std::int64_t frameCount, double lengthMs)
{
    m_frameCount = frameCount;
    m_lengthMs = lengthMs;
    update();
}

void ScrubBar::setFrame(FrameIndex frame)
{
    m_frame = frame;
    update();
}

void ScrubBar::setPresses(std::vector<PressAt> presses, std::optional<int> picked)
{
    m_presses = std::move(presses);
    m_picked = picked;
    update();
}

void ScrubBar::setScanned(std::optional<double> share)
{
    m_scanned = share;
    update();
}

AxisMapping ScrubBar::mapping() const
{
    return scrubMapping(m_frameCount, sideMargin, width() - sideMargin);
}

void ScrubBar::paintTrack(QPainter& painter, const QRectF& track) const
{
    painter.setPen(QPen(colours()[ColourRole::Line], 1));
    painter.setBrush(colours()[ColourRole::Surface]);
    painter.drawRoundedRect(track.adjusted(0.5, 0.5, -0.5, -0.5), 3, 3);
    painter.setPen(Qt::NoPen);
    if (m_scanned) {
        painter.setBrush(colours()[ColourRole::Selection]);
        painter.drawRoundedRect(
            QRectF(track.topLeft(), QSizeF(track.width() * *m_scanned, track.height())), 3, 3);
    }
}

void ScrubBar::paintPresses(QPainter& painter, const QRectF& track) const
{
    const AxisMapping axis = mapping();
    for (const PressAt& press : m_presses) {
        const double x = axis.toPx(static_cast<double>(press.frame.value));
        const bool picked = m_picked == press.pressIndex;
        const QColor colour = colours()[press.accepted ? ColourRole::Reference : ColourRole::Doubt];
        // On edges rise from the middle, off edges hang from it: told apart without colour.
        const double middle = track.center().y();
        const double end = press.edge == Edge::On ? track.top() + 2 : track.bottom() - 2;
        painter.setPen(QPen(colour, picked ? 4.0 : 2.0, Qt::SolidLine, Qt::FlatCap));
        painter.drawLine(QPointF(x, middle), QPointF(x, end));
        if (!press.accepted) {
            painter.setPen(QPen(colour, 1.5));
            const double y = press.edge == Edge::On ? track.top() + 3 : track.bottom() - 3;
            painter.drawLine(QPointF(x - 3, y - 3), QPointF(x + 3, y + 3));
            painter.drawLine(QPointF(x - 3, y + 3), QPointF(x + 3, y - 3));
        }
    }
    painter.setPen(QPen(colours()[ColourRole::Line], 1));
    painter.drawLine(
        QPointF(track.left(), track.center().y()), QPointF(track.right(), track.center().y()));
}

void ScrubBar::paintRuler(QPainter& painter, double top) const
{
    painter.setFont(typeFont(TypeSize::Small));
    painter.setPen(colours()[ColourRole::QuietText]);
    const bool timed = m_lengthMs > 0.0;
    AxisMapping axis = mapping();
    if (timed) {
        axis.high = m_lengthMs * 1e-3;
    }
    for (const RulerTick& tick : rulerTicks(axis, labelGapPx)) {
        const QString text = timed ? tick.label + thinSpace + QLatin1Char('s') : tick.label;
        const double x = axis.toPx(tick.value);
        const double half = painter.fontMetrics().horizontalAdvance(text) / 2.0;
        const double left = std::clamp(x - half, 0.0, std::max(0.0, width() - 2 * half));
        painter.drawText(QRectF(left, top, 2 * half + 1, height() - top), Qt::AlignTop, text);
    }
}

void ScrubBar::paintEvent(QPaintEvent* /*event*/)
{
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    const QRectF track(sideMargin, trackTop, width() - 2 * sideMargin, trackHeight);
    paintTrack(painter, track);
    if (m_frameCount == 0) {
        return;
    }
    paintPresses(painter, track);
    paintRuler(painter, track.bottom() + 2);
    const double x = mapping().toPx(static_cast<double>(m_frame.value));
    painter.setPen(QPen(colours()[ColourRole::Text], 2));
    painter.drawLine(QPointF(x, track.top() - 3), QPointF(x, track.bottom() + 3));
    painter.setPen(Qt::NoPen);
    painter.setBrush(colours()[ColourRole::Text]);
    painter.drawPolygon(
        QPolygonF({{x - 5, track.top() - 4}, {x + 5, track.top() - 4}, {x, track.top() + 3}}));
    if (hasFocus()) {
        painter.setBrush(Qt::NoBrush);
        painter.setPen(QPen(colours()[ColourRole::StrongLine], 1.5));
        painter.drawRoundedRect(track.adjusted(-3, -2, 3, 2), 4, 4);
    }
}

const ScrubBar::PressAt* ScrubBar::pressNear(double px) const
{
    const AxisMapping axis = mapping();
    const auto distance = [&](const PressAt& press) {
        return std::abs(axis.toPx(static_cast<double>(press.frame.value)) - px);
    };
    const auto nearest = std::ranges::min_element(m_presses, {}, distance);
    return nearest != m_presses.end() && distance(*nearest) <= pickReachPx ? &*nearest : nullptr;
}

void ScrubBar::mousePressEvent(QMouseEvent* event)
{
    if (event->button() != Qt::LeftButton || m_frameCount == 0) {
        return;
    }
    if (const PressAt* press = pressNear(event->position().x())) {
        Q_EMIT pressPicked(press->pressIndex);
    } else {
        Q_EMIT frameAsked(frameAtPx(mapping(), event->position().x(), m_frameCount));
    }
}

void ScrubBar::mouseMoveEvent(QMouseEvent* event)
{
    if ((event->buttons() & Qt::LeftButton) != 0 && m_frameCount > 0) {
        Q_EMIT frameAsked(frameAtPx(mapping(), event->position().x(), m_frameCount));
    }
}

void ScrubBar::keyPressEvent(QKeyEvent* event)
{
    const int frames = (event->modifiers() & Qt::ShiftModifier) != 0 ? 10 : 1;
    switch (event->key()) {
    case Qt::Key_Left:
        Q_EMIT stepAsked(-frames);
        break;
    case Qt::Key_Right:
        Q_EMIT stepAsked(frames);
        break;
    case Qt::Key_PageUp:
        Q_EMIT pressStepAsked(false);
        break;
    case Qt::Key_PageDown:
        Q_EMIT pressStepAsked(true);
        break;
    case Qt::Key_Home:
        Q_EMIT frameAsked({0});
        break;
    case Qt::Key_End:
        Q_EMIT frameAsked({std::max<std::int64_t>(0, m_frameCount - 1)});
        break;
    default:
        QWidget::keyPressEvent(event);
    }
}

bool ScrubBar::event(QEvent* event)
{
    if (event->type() == QEvent::ToolTip) {
        const auto* help = static_cast<QHelpEvent*>(event);
        const PressAt* press = pressNear(help->pos().x());
        QToolTip::showText(help->globalPos(),
            press ? tr("press %1, %2, frame %3")
                        .arg(press->pressIndex + 1)
                        .arg(edgeText(press->edge))
                        .arg(press->frame.value)
                  : tr("frame %1").arg(frameAtPx(mapping(), help->pos().x(), m_frameCount).value),
            this);
        return true;
    }
    return QWidget::event(event);
}

} // namespace twinlamp::ui

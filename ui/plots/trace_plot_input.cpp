// SPDX-License-Identifier: GPL-3.0-or-later
// Mouse and keys of the trace plot; what it draws is in trace_plot.cpp.
#include "ui/plots/qcp.h"
#include "ui/plots/trace_overlay.h"
#include "ui/plots/trace_plot.h"
#include "ui/widgets/figures.h"

#include <QKeyEvent>
#include <QMouseEvent>
#include <QWheelEvent>

#include <cmath>

namespace twinlamp::ui {

namespace {

constexpr double markReachPx = 6.0;
constexpr double clickSlackPx = 3.0; ///< a hand that clicks is not perfectly still
constexpr double zoomPerNotch = 1.3;
constexpr double wheelNotch = 120.0;
constexpr double wheelShare = 0.15; ///< of the span, per notch with Shift

} // namespace

bool TracePlot::eventFilter(QObject* watched, QEvent* event)
{
    if (watched != m_plot) {
        return QWidget::eventFilter(watched, event);
    }
    switch (event->type()) {
    case QEvent::MouseButtonPress:
        onPress(static_cast<QMouseEvent*>(event));
        return true;
    case QEvent::MouseMove:
        onMove(static_cast<QMouseEvent*>(event));
        return true;
    case QEvent::MouseButtonRelease:
        onRelease(static_cast<QMouseEvent*>(event));
        return true;
    case QEvent::Wheel:
        onWheel(static_cast<QWheelEvent*>(event));
        return true;
    default:
        return QWidget::eventFilter(watched, event);
    }
}

std::optional<std::size_t> TracePlot::markAt(QPointF at) const
{
    const Lane lane = at.y() <= m_referenceRect->bottom() ? Lane::Reference : Lane::Goggle;
    return markNear(m_overlay->marks, lane, axis(), at.x(), markReachPx, m_overlay->pressInHand);
}

bool TracePlot::marksCanMove() const
{
    return m_movable && axis().toPx(frameMs()) - axis().toPx(0.0) >= 1.0;
}

QString TracePlot::markTip(const TraceMark& mark) const
{
    const QString where = tr("%1 of press %2 at %3")
                              .arg(markName(mark.mark))
                              .arg(mark.press + 1)
                              .arg(msText(toMs(mark.time), 2));
    const QString what = !m_movable ? QString()
        : marksCanMove()            ? tr("; drag it to a better place")
                                    : tr("; zoom in to move it");
    const QString was
        = mark.measured ? tr("; measured at %1").arg(msText(toMs(*mark.measured), 2)) : QString();
    return where % was % what;
}

void TracePlot::onPress(QMouseEvent* event)
{
    setFocus(Qt::MouseFocusReason);
    if (event->button() != Qt::LeftButton) {
        return;
    }
    Pull pull;
    pull.from = event->position();
    pull.spanFrom = m_span;
    pull.mark = markAt(event->position());
    pull.movesMark = pull.mark && marksCanMove();
    if (pull.mark) {
        pull.markFrom = m_overlay->marks[*pull.mark].time;
    }
    m_pull = pull;
}

void TracePlot::onMove(QMouseEvent* event)
{
    const QPointF at = event->position();
    if (!m_pull) {
        const auto under = markAt(at);
        if (under != m_overlay->markUnderPointer) {
            m_overlay->markUnderPointer = under;
            m_plot->setCursor(!under ? Qt::ArrowCursor
                    : marksCanMove() ? Qt::SizeHorCursor
                                     : Qt::PointingHandCursor);
            m_plot->setToolTip(under ? markTip(m_overlay->marks[*under]) : QString());
            replotOverlay();
        }
        return;
    }
    if (!m_pull->moved && std::abs(at.x() - m_pull->from.x()) <= clickSlackPx) {
        return;
    }
    m_pull->moved = true;
    if (m_pull->movesMark && *m_pull->mark < m_overlay->marks.size()) {
        TraceMark& mark = m_overlay->marks[*m_pull->mark];
        if (!mark.measured) {
            mark.measured = m_pull->markFrom;
        }
        mark.time = realTimeFromMs(axis().toValue(at.x()));
        replotOverlay();
    } else {
        const double msPerPx = m_span.length() / std::max(1.0, axis().lastPx - axis().firstPx);
        const double by = (m_pull->from.x() - at.x()) * msPerPx;
        showSpan({m_pull->spanFrom.low + by, m_pull->spanFrom.high + by});
    }
}

void TracePlot::onRelease(QMouseEvent* event)
{
    if (event->button() != Qt::LeftButton || !m_pull) {
        return;
    }
    const Pull pull = *m_pull;
    m_pull.reset();
    if (pull.mark && *pull.mark < m_overlay->marks.size()) {
        const TraceMark mark = m_overlay->marks[*pull.mark];
        if (pull.moved && pull.movesMark) {
            Q_EMIT markMoved(mark.press, mark.mark, mark.time);
        } else if (!pull.moved) {
            Q_EMIT pressPicked(mark.press);
            Q_EMIT timeAsked(mark.time);
        }
    } else if (!pull.moved) {
        Q_EMIT timeAsked(realTimeFromMs(axis().toValue(event->position().x())));
    }
}

void TracePlot::onWheel(QWheelEvent* event)
{
    const QPoint turn = event->angleDelta();
    const bool along = (event->modifiers() & Qt::ShiftModifier) != 0 || turn.y() == 0;
    const double notches = (turn.y() != 0 ? turn.y() : turn.x()) / wheelNotch;
    if (along) {
        const double by = -notches * wheelShare * m_span.length();
        showSpan({m_span.low + by, m_span.high + by});
    } else {
        showSpan(
            zoomed(m_span, axis().toValue(event->position().x()), std::pow(zoomPerNotch, notches)));
    }
    event->accept();
}

void TracePlot::keyPressEvent(QKeyEvent* event)
{
    const int frames = (event->modifiers() & Qt::ShiftModifier) != 0 ? 10 : 1;
    const double middle = (m_span.low + m_span.high) / 2.0;
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
    case Qt::Key_Plus:
    case Qt::Key_Equal:
        showSpan(zoomed(m_span, middle, zoomPerNotch));
        break;
    case Qt::Key_Minus:
        showSpan(zoomed(m_span, middle, 1.0 / zoomPerNotch));
        break;
    case Qt::Key_Home:
        showAll();
        break;
    default:
        QWidget::keyPressEvent(event);
    }
}

} // namespace twinlamp::ui

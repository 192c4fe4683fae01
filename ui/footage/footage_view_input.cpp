// SPDX-License-Identifier: GPL-3.0-or-later
// Mouse and keys of the footage view; what it paints is in footage_view.cpp.
#include "ui/footage/footage_view.h"

#include <QKeyEvent>
#include <QMouseEvent>
#include <QWheelEvent>

#include <cmath>

namespace twinlamp::ui {

namespace {

constexpr double handleReachPx = 9.0;
constexpr double zoomPerNotch = 1.25;
constexpr double wheelNotch = 120.0;
constexpr int longNudgePx = 10;

QPoint arrow(int key)
{
    switch (key) {
    case Qt::Key_Left:
        return {-1, 0};
    case Qt::Key_Right:
        return {1, 0};
    case Qt::Key_Up:
        return {0, -1};
    case Qt::Key_Down:
        return {0, 1};
    default:
        return {};
    }
}

Qt::CursorShape cursorOf(Grip grip)
{
    if (grip.moves()) {
        return Qt::SizeAllCursor;
    }
    const bool across = grip.left || grip.right;
    const bool down = grip.top || grip.bottom;
    if (across && down) {
        return grip.left == grip.top ? Qt::SizeFDiagCursor : Qt::SizeBDiagCursor;
    }
    return across ? Qt::SizeHorCursor : down ? Qt::SizeVerCursor : Qt::ArrowCursor;
}

} // namespace

std::optional<std::pair<RegionKind, Grip>> FootageView::regionUnder(QPointF at) const
{
    if (!m_regions || m_picture.isNull()) {
        return std::nullopt;
    }
    // The handles of the picked one win over a neighbour; then the lamps come before the panel, in
    // which the goggle lamp lies.
    if (m_picked) {
        const auto picked = regionOf(*m_regions, *m_picked);
        const Grip grip = picked ? gripAt(m_transform.toView(*picked), at, handleReachPx) : Grip {};
        if (grip.holds() && !grip.moves()) {
            return std::pair {*m_picked, grip};
        }
    }
    for (const RegionKind kind : regionKinds) {
        const auto region = regionOf(*m_regions, kind);
        const Grip grip = region ? gripAt(m_transform.toView(*region), at, handleReachPx) : Grip {};
        if (grip.holds()) {
            return std::pair {kind, grip};
        }
    }
    return std::nullopt;
}

void FootageView::mousePressEvent(QMouseEvent* event)
{
    const QPointF at = event->position();
    const auto under = regionUnder(at);
    if (event->button() == Qt::LeftButton && under) {
        pickRegion(under->first);
        if (m_editable) {
            m_pull = Pull {under->first, under->second, *regionOf(*m_regions, under->first),
                m_transform.toPicture(at)};
        }
    } else if (event->button() == Qt::LeftButton || event->button() == Qt::MiddleButton) {
        m_panFrom = at;
        if (event->button() == Qt::LeftButton) {
            pickRegion(std::nullopt);
        }
    }
}

void FootageView::mouseMoveEvent(QMouseEvent* event)
{
    const QPointF at = event->position();
    if (m_pull) {
        pull(at);
    } else if (m_panFrom) {
        m_transform.panBy(at - *m_panFrom);
        m_panFrom = at;
        update();
    } else {
        updateCursor(at);
    }
}

void FootageView::pull(QPointF to)
{
    const QPointF by = m_transform.toPicture(to) - m_pull->from;
    const RectPx rect = pulled(m_pull->start, m_pull->grip,
        QPoint(static_cast<int>(std::lround(by.x())), static_cast<int>(std::lround(by.y()))),
        m_picture.size());
    m_regions = withRegion(*m_regions, m_pull->kind, rect);
    update();
    Q_EMIT regionPulled(m_pull->kind, rect);
}

void FootageView::mouseReleaseEvent(QMouseEvent* event)
{
    m_panFrom.reset();
    if (m_pull && event->button() == Qt::LeftButton) {
        const Pull finished = *m_pull;
        m_pull.reset();
        const RectPx rect = regionOf(*m_regions, finished.kind).value_or(finished.start);
        if (rect != finished.start) {
            Q_EMIT regionMoved(finished.kind, rect);
        }
    }
    updateCursor(event->position());
}

void FootageView::mouseDoubleClickEvent(QMouseEvent* event)
{
    if (!regionUnder(event->position())) {
        fitPicture();
    }
}

void FootageView::wheelEvent(QWheelEvent* event)
{
    m_transform.zoomAt(event->position(),
        std::pow(zoomPerNotch, static_cast<double>(event->angleDelta().y()) / wheelNotch));
    update();
    event->accept();
}

bool FootageView::nudge(int key, Qt::KeyboardModifiers modifiers)
{
    const auto region = m_picked && m_regions ? regionOf(*m_regions, *m_picked) : std::nullopt;
    if (!region || !m_editable || m_picture.isNull()) {
        return false;
    }
    const QPoint by = arrow(key) * ((modifiers & Qt::ShiftModifier) != 0 ? longNudgePx : 1);
    const Grip grip
        = (modifiers & Qt::ControlModifier) != 0 ? Grip {false, false, true, true} : wholeRegion;
    const RectPx rect = pulled(*region, grip, by, m_picture.size());
    if (rect != *region) {
        m_regions = withRegion(*m_regions, *m_picked, rect);
        update();
        Q_EMIT regionMoved(*m_picked, rect);
    }
    return true;
}

void FootageView::keyPressEvent(QKeyEvent* event)
{
    const int key = event->key();
    if (!arrow(key).isNull()) {
        if (nudge(key, event->modifiers())) {
            return;
        }
        if (key == Qt::Key_Left || key == Qt::Key_Right) {
            const int frames = (event->modifiers() & Qt::ShiftModifier) != 0 ? longNudgePx : 1;
            Q_EMIT stepAsked(key == Qt::Key_Left ? -frames : frames);
            return;
        }
    }
    if (key >= Qt::Key_1 && key <= Qt::Key_3) {
        pickRegion(regionKinds.at(static_cast<std::size_t>(key - Qt::Key_1)));
    } else if (key == Qt::Key_Escape && m_picked) {
        pickRegion(std::nullopt);
    } else if (key == Qt::Key_Plus || key == Qt::Key_Equal) {
        zoomBy(zoomPerNotch);
    } else if (key == Qt::Key_Minus) {
        zoomBy(1.0 / zoomPerNotch);
    } else if (key == Qt::Key_0) {
        fitPicture();
    } else {
        QWidget::keyPressEvent(event);
    }
}

void FootageView::updateCursor(QPointF at)
{
    const auto under = regionUnder(at);
    setCursor(under && m_editable ? cursorOf(under->second) : Qt::ArrowCursor);
}

} // namespace twinlamp::ui

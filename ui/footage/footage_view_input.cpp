// SPDX-License-Identifier: GPL-3.0-or-later
// Mouse and keys of the footage view; what it paints is in footage_view.cpp.
#include "ui/footage/footage_view.h"

#include <QContextMenuEvent>
#include <QKeyEvent>
#include <QMenu>
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

std::optional<FootageView::Held> FootageView::heldAt(RegionKind kind, QPointF at) const
{
    const auto region = regionOf(*m_regions, kind);
    if (!region) {
        return std::nullopt;
    }
    if (hasCorners(kind)) {
        const auto corners
            = cornerGripAt(m_transform.toView(*m_regions->panelCorners), at, handleReachPx);
        return corners ? std::optional(Held {kind, wholeRegion, corners}) : std::nullopt;
    }
    const Grip grip = gripAt(m_transform.toView(*region), at, handleReachPx);
    return grip.holds() ? std::optional(Held {kind, grip}) : std::nullopt;
}

std::optional<FootageView::Held> FootageView::regionUnder(QPointF at) const
{
    if (!m_regions || m_picture.isNull()) {
        return std::nullopt;
    }
    // The handles of the picked one win over a neighbour; then the lamps come before the panel, in
    // which the goggle lamp lies.
    const auto held = m_picked ? heldAt(*m_picked, at) : std::nullopt;
    if (held && (held->corners ? held->corners->corner.has_value() : !held->grip.moves())) {
        return held;
    }
    for (const RegionKind kind : regionKinds) {
        if (const auto under = heldAt(kind, at)) {
            return under;
        }
    }
    return std::nullopt;
}

void FootageView::mousePressEvent(QMouseEvent* event)
{
    const QPointF at = event->position();
    const auto under = regionUnder(at);
    if (event->button() == Qt::LeftButton && under) {
        pickRegion(under->kind);
        if (under->corners) {
            m_corner = under->corners->corner;
            update();
        }
        if (m_editable) {
            m_pull = Pull {*under, *m_regions, m_transform.toPicture(at)};
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
    const QPointF way = m_transform.toPicture(to) - m_pull->from;
    const QPoint by(static_cast<int>(std::lround(way.x())), static_cast<int>(std::lround(way.y())));
    const Held& held = m_pull->held;
    if (held.corners) {
        const QuadPx corners
            = pulled(*m_pull->start.panelCorners, *held.corners, by, m_picture.size());
        m_regions = withPanelCorners(*m_regions, corners);
        update();
        Q_EMIT cornersPulled(corners);
        return;
    }
    const RectPx rect
        = pulled(*regionOf(m_pull->start, held.kind), held.grip, by, m_picture.size());
    m_regions = withRegion(*m_regions, held.kind, rect);
    update();
    Q_EMIT regionPulled(held.kind, rect);
}

void FootageView::mouseReleaseEvent(QMouseEvent* event)
{
    m_panFrom.reset();
    if (m_pull && event->button() == Qt::LeftButton) {
        const Pull finished = *m_pull;
        m_pull.reset();
        const RegionKind kind = finished.held.kind;
        if (finished.held.corners) {
            if (m_regions->panelCorners != finished.start.panelCorners) {
                Q_EMIT cornersMoved(*m_regions->panelCorners);
            }
        } else if (regionOf(*m_regions, kind) != regionOf(finished.start, kind)) {
            Q_EMIT regionMoved(kind, *regionOf(*m_regions, kind));
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
    if (hasCorners(*m_picked)) {
        nudgeCorners(by);
        return true;
    }
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

void FootageView::nudgeCorners(QPoint by)
{
    const QuadPx before = *m_regions->panelCorners;
    const QuadPx corners = pulled(before, {m_corner}, by, m_picture.size());
    if (corners != before) {
        m_regions = withPanelCorners(*m_regions, corners);
        update();
        Q_EMIT cornersMoved(corners);
    }
}

void FootageView::pickNextCorner()
{
    if (m_picked && hasCorners(*m_picked)) {
        m_corner = m_corner ? (*m_corner + 1) % cornerCount : 0;
        update();
    }
}

void FootageView::togglePanelCorners()
{
    if (!m_regions || !m_regions->panel || !m_editable || m_picture.isNull()) {
        return;
    }
    pickRegion(RegionKind::Panel);
    m_corner.reset();
    if (m_regions->panelCorners) {
        const RectPx rect = fitted(*m_regions->panel, m_picture.size());
        m_regions = withRegion(*m_regions, RegionKind::Panel, rect);
        Q_EMIT regionMoved(RegionKind::Panel, rect);
    } else if (const QuadPx corners = quadOf(*m_regions->panel); fits(corners, m_picture.size())) {
        m_regions = withPanelCorners(*m_regions, corners);
        Q_EMIT cornersMoved(corners);
    }
    update();
}

void FootageView::contextMenuEvent(QContextMenuEvent* event)
{
    const bool byKey = event->reason() == QContextMenuEvent::Keyboard;
    const bool isPanel = m_regions && m_regions->panel && !m_picture.isNull()
        && (byKey ? m_picked == RegionKind::Panel
                  : heldAt(RegionKind::Panel, event->pos()).has_value());
    if (!isPanel || !m_editable) {
        event->ignore();
        return;
    }
    auto* menu = new QMenu(this);
    menu->setAttribute(Qt::WA_DeleteOnClose);
    menu->addAction(
        m_regions->panelCorners ? tr("Panel as a rectangle") : tr("Panel as four corners"), this,
        &FootageView::togglePanelCorners);
    menu->popup(byKey ? mapToGlobal(m_transform.toView(*m_regions->panel).center().toPoint())
                      : event->globalPos());
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
    } else if (key == Qt::Key_C) {
        pickNextCorner();
    } else if (key == Qt::Key_Escape && m_corner) {
        m_corner.reset();
        update();
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
    const bool atCorner = under && under->corners && under->corners->corner;
    setCursor(!under || !m_editable ? Qt::ArrowCursor
            : atCorner              ? Qt::CrossCursor
                                    : cursorOf(under->grip));
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/footage_view.h"

#include "ui/footage/region_painter.h"
#include "ui/theme/theme.h"

#include <QPainter>

namespace twinlamp::ui {

FootageView::FootageView(QWidget* parent)
    : QWidget(parent)
{
    setFocusPolicy(Qt::StrongFocus);
    setMouseTracking(true);
    setMinimumSize(240, 136);
    setAccessibleName(tr("Footage with the regions"));
    setToolTip({});
}

void FootageView::setPicture(FrameIndex frame, const QImage& picture)
{
    m_shown = frame;
    m_picture = picture;
    m_problem.clear();
    m_transform.setPicture(picture.size());
    update();
}

void FootageView::clear()
{
    m_picture = {};
    m_shown.reset();
    m_problem.clear();
    m_regions.reset();
    m_picked.reset();
    m_corner.reset();
    m_pull.reset();
    m_transform.fit();
    update();
}

void FootageView::setFrameAsked(FrameIndex frame)
{
    m_asked = frame;
    update();
}

void FootageView::setProblem(const QString& sentence)
{
    m_problem = sentence;
    update();
}

void FootageView::setRegions(const std::optional<RegionSet>& regions)
{
    if (m_pull) {
        return; // the hand that pulls is right until it lets go
    }
    m_regions = regions;
    if (!regions || (m_picked == RegionKind::Panel && !regions->panel)) {
        m_picked.reset();
    }
    if (!hasCorners(RegionKind::Panel) || m_picked != RegionKind::Panel) {
        m_corner.reset();
    }
    update();
}

bool FootageView::hasCorners(RegionKind kind) const
{
    return kind == RegionKind::Panel && m_regions && m_regions->panelCorners;
}

void FootageView::pickRegion(std::optional<RegionKind> kind)
{
    if (kind && (!m_regions || !regionOf(*m_regions, *kind))) {
        return;
    }
    if (m_picked != kind) {
        m_picked = kind;
        m_corner.reset();
        if (kind) {
            m_transform.reveal(*regionOf(*m_regions, *kind));
        }
        update();
        Q_EMIT regionPicked();
    }
}

void FootageView::setEditable(bool editable) { m_editable = editable; }

void FootageView::fitPicture()
{
    m_transform.fit();
    update();
}

void FootageView::zoomBy(double factor)
{
    const bool atRegion = m_picked && m_regions && regionOf(*m_regions, *m_picked);
    const QPointF at = atRegion ? m_transform.toView(*regionOf(*m_regions, *m_picked)).center()
                                : QRectF(rect()).center();
    m_transform.zoomAt(at, factor);
    update();
}

void FootageView::paintEvent(QPaintEvent* /*event*/)
{
    QPainter painter(this);
    painter.fillRect(rect(), colours()[ColourRole::FootageGround]);
    if (!m_picture.isNull()) {
        // Single pixels stay plain to see when zoomed in: a mark is set on pixels.
        painter.setRenderHint(QPainter::SmoothPixmapTransform, m_transform.scale() < 2.0);
        painter.drawImage(m_transform.pictureInView(), m_picture);
    }
    if (m_regions && !m_picture.isNull()) {
        painter.setRenderHint(QPainter::Antialiasing);
        for (const RegionKind kind :
            {RegionKind::Panel, RegionKind::Goggle, RegionKind::Reference}) {
            if (const auto region = regionOf(*m_regions, kind)) {
                paintRegion(painter, kind, *region);
            }
        }
    }
    if (!m_problem.isEmpty()) {
        paintNote(painter, m_problem);
    } else if (m_shown && *m_shown != m_asked) {
        paintNote(painter, tr("still frame %1").arg(m_shown->value));
    }
    if (hasFocus()) {
        painter.setRenderHint(QPainter::Antialiasing, false);
        painter.setPen(QPen(colours()[ColourRole::StrongLine], 2));
        painter.setBrush(Qt::NoBrush);
        painter.drawRect(rect().adjusted(1, 1, -1, -1));
    }
}

void FootageView::paintRegion(QPainter& painter, RegionKind kind, RectPx rect) const
{
    RegionLook look;
    look.kind = kind;
    look.picked = m_picked == kind;
    look.handles = look.picked && m_editable;
    if (hasCorners(kind)) {
        drawTurnedRegion(painter, m_transform.toView(*m_regions->panelCorners),
            QRectF(this->rect()), look, m_corner);
    } else {
        drawRegion(painter, m_transform.toView(rect), QRectF(this->rect()), look);
    }
}

void FootageView::paintNote(QPainter& painter, const QString& text) const
{
    painter.setFont(typeFont(TypeSize::Base));
    const QRect room = rect().adjusted(16, 16, -16, -16);
    QRect box = painter.fontMetrics().boundingRect(room, Qt::TextWordWrap, text);
    box.moveBottomLeft(room.bottomLeft());
    painter.setPen(Qt::NoPen);
    QColor ground = colours()[ColourRole::FootageGround];
    ground.setAlphaF(0.85F);
    painter.setBrush(ground);
    painter.drawRoundedRect(box.adjusted(-8, -4, 8, 4), 4, 4);
    painter.setPen(Qt::white);
    painter.drawText(box, Qt::TextWordWrap, text);
}

void FootageView::resizeEvent(QResizeEvent* /*event*/) { m_transform.setView(size()); }

} // namespace twinlamp::ui

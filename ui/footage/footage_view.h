// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "ui/footage/corner_geometry.h"
#include "ui/footage/picture_transform.h"
#include "ui/footage/region_geometry.h"
#include "ui/footage/region_kind.h"

#include <QImage>
#include <QWidget>

#include <optional>

namespace twinlamp::ui {

/// The picture of one frame with the regions drawn on it; zooms, pans, and lets regions be pulled.
///
/// Mouse: wheel zooms at the pointer, dragging pans or pulls what is under it, a double click shows
/// the whole picture. Keys: 1 2 3 pick a region, arrows nudge it by 1 px (with Shift by 10 px),
/// Ctrl+arrows change its size, Escape lets go; with no region picked, arrows step frames. A panel
/// can have four corners: the context menu changes it to them and back, C picks one corner after
/// the other for the arrows.
class FootageView : public QWidget
{
    Q_OBJECT

public:
    explicit FootageView(QWidget* parent = nullptr);

    void setPicture(FrameIndex frame, const QImage& picture);
    void clear();
    /// The frame that was asked for; while it differs from the one shown, the view says so.
    void setFrameAsked(FrameIndex frame);
    void setProblem(const QString& sentence); ///< shown in place of a picture that cannot be read
    void setRegions(const std::optional<RegionSet>& regions);

    [[nodiscard]] const std::optional<RegionSet>& regions() const { return m_regions; }

    [[nodiscard]] std::optional<RegionKind> pickedRegion() const { return m_picked; }

    void pickRegion(std::optional<RegionKind> kind);
    /// Whether regions may be pulled.
    void setEditable(bool editable);

    /// The corner of the panel that keys move.
    [[nodiscard]] std::optional<std::size_t> pickedCorner() const { return m_corner; }

    /// From a rectangle to four corners, or back to the rectangle around them.
    void togglePanelCorners();

    void fitPicture();
    void zoomBy(double factor);

    [[nodiscard]] const PictureTransform& transform() const { return m_transform; }

    [[nodiscard]] QSize sizeHint() const override { return {640, 360}; }

Q_SIGNALS:
    /// A pull or a nudge is finished.
    void regionMoved(twinlamp::ui::RegionKind kind, const twinlamp::RectPx& rect);
    /// A pull is under way; for numbers that follow.
    void regionPulled(twinlamp::ui::RegionKind kind, const twinlamp::RectPx& rect);
    /// The same for a panel with four corners.
    void cornersMoved(const twinlamp::QuadPx& corners);
    void cornersPulled(const twinlamp::QuadPx& corners);
    void regionPicked();
    void stepAsked(int frames);

protected:
    void paintEvent(QPaintEvent* event) override;
    void resizeEvent(QResizeEvent* event) override;
    void mousePressEvent(QMouseEvent* event) override;
    void mouseMoveEvent(QMouseEvent* event) override;
    void mouseReleaseEvent(QMouseEvent* event) override;
    void mouseDoubleClickEvent(QMouseEvent* event) override;
    void wheelEvent(QWheelEvent* event) override;
    void keyPressEvent(QKeyEvent* event) override;
    void contextMenuEvent(QContextMenuEvent* event) override;

private:
    /// What of a region lies under the pointer.
    struct Held
    {
        RegionKind kind = RegionKind::Reference;
        Grip grip;
        std::optional<CornerGrip> corners {}; ///< of a panel that has four; else `grip` counts
    };

    struct Pull
    {
        Held held;
        RegionSet start;
        QPointF from; ///< picture pixels
    };

    void paintRegion(QPainter& painter, RegionKind kind, RectPx rect) const;
    void paintNote(QPainter& painter, const QString& text) const;
    [[nodiscard]] std::optional<Held> heldAt(RegionKind kind, QPointF at) const;
    [[nodiscard]] std::optional<Held> regionUnder(QPointF at) const;
    [[nodiscard]] bool hasCorners(RegionKind kind) const;
    void pull(QPointF to);
    bool nudge(int key, Qt::KeyboardModifiers modifiers);
    void nudgeCorners(QPoint by);
    void pickNextCorner();
    void updateCursor(QPointF at);

    PictureTransform m_transform;
    QImage m_picture;
    std::optional<FrameIndex> m_shown;
    FrameIndex m_asked;
    QString m_problem;
    std::optional<RegionSet> m_regions;
    std::optional<RegionKind> m_picked;
    std::optional<std::size_t> m_corner;
    std::optional<Pull> m_pull;
    std::optional<QPointF> m_panFrom;
    bool m_editable = true;
};

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/models/setting_figures.h"
#include "ui/plots/ruler.h"

#include <QStyledItemDelegate>

namespace twinlamp::ui {

/// Paints the rows of the session panel: settings with their histogram, runs and clips as lines.
class SettingDelegate : public QStyledItemDelegate
{
    Q_OBJECT

public:
    explicit SettingDelegate(QObject* parent = nullptr);

    /// What all rows share.
    void setAxis(const stats::HistogramAxis& axis, std::int64_t tallest);

    /// Setting that is drawn strong.
    void setInHand(session::SettingId setting) { m_inHand = setting; }

    /// Where the shared axis lies in a row that is `width` wide and starts at `left`.
    [[nodiscard]] AxisMapping mapping(double left, double right) const;

    void paint(QPainter* painter, const QStyleOptionViewItem& option,
        const QModelIndex& index) const override;
    [[nodiscard]] QSize sizeHint(
        const QStyleOptionViewItem& option, const QModelIndex& index) const override;
    void updateEditorGeometry(QWidget* editor, const QStyleOptionViewItem& option,
        const QModelIndex& index) const override;

private:
    void paintSetting(QPainter* painter, const QRect& rect, const QModelIndex& index) const;
    void paintHistogram(QPainter* painter, const QRectF& rect, const SettingFigures& figures) const;
    void paintLine(QPainter* painter, const QRect& rect, const QModelIndex& index) const;

    stats::HistogramAxis m_axis;
    std::int64_t m_tallest = 1;
    session::SettingId m_inHand;
};

} // namespace twinlamp::ui

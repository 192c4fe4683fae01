// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/footage/region_kind.h"

#include <QSize>
#include <QWidget>

#include <array>
#include <optional>

class QLineEdit;
class QToolButton;

namespace twinlamp::ui {

/// The regions as numbers: x, y, width, height of each, to read and to type; eight numbers for a
/// panel with four corners.
class RegionNumbers : public QWidget
{
    Q_OBJECT

public:
    explicit RegionNumbers(QWidget* parent = nullptr);

    /// @param picture  upright size; typed rectangles are held to it
    void setRegions(const std::optional<RegionSet>& regions, QSize picture);
    /// Shows a region that is being pulled.
    void showPulled(RegionKind kind, const RectPx& rect);
    void showPulledCorners(const QuadPx& corners);
    void setEditable(bool editable);

Q_SIGNALS:
    void regionTyped(twinlamp::ui::RegionKind kind, const twinlamp::RectPx& rect);
    void cornersTyped(const twinlamp::QuadPx& corners);
    void regionPicked(twinlamp::ui::RegionKind kind);

private:
    struct Row
    {
        QToolButton* pick = nullptr;
        QLineEdit* edit = nullptr;
    };

    void onTyped(RegionKind kind);
    void onPanelTyped(const QuadPx& corners);
    void placePanelEdit();
    [[nodiscard]] QString textOf(RegionKind kind) const;
    [[nodiscard]] Row& rowOf(RegionKind kind);

    std::array<Row, 3> m_rows;
    std::optional<RegionSet> m_regions;
    QSize m_picture;
    bool m_editable = true;
};

/// "412, 233, 40, 40".
[[nodiscard]] QString rectText(const RectPx& rect);
/// The same read back; commas, blanks, semicolons or an x between the numbers.
[[nodiscard]] std::optional<RectPx> typedRect(const QString& text);
/// "40,20 200,50 190,170 25,140", and read back in the same ways.
[[nodiscard]] QString cornersText(const QuadPx& corners);
[[nodiscard]] std::optional<QuadPx> typedCorners(const QString& text);

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/theme/colours.h"

#include <QIconEngine>

#include <optional>

namespace twinlamp::ui {

/// Draws a one-colour SVG (black in the file) in the colour that the scheme wants, when painted.
class SvgIconEngine : public QIconEngine
{
public:
    explicit SvgIconEngine(QString path, std::optional<ColourRole> role = std::nullopt);

    void paint(QPainter* painter, const QRect& rect, QIcon::Mode mode, QIcon::State state) override;
    QPixmap pixmap(const QSize& size, QIcon::Mode mode, QIcon::State state) override;
    [[nodiscard]] QIconEngine* clone() const override;

private:
    QString m_path;
    std::optional<ColourRole> m_role;
};

} // namespace twinlamp::ui

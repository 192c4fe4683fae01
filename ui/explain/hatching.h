// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QColor>
#include <QLineF>
#include <QRectF>

#include <vector>

class QPainter;

namespace twinlamp::ui {

/// Diagonal lines inside a rectangle, `spacing` apart across; they end at its sides, because vector
/// files are written without clipping and not every viewer knows patterns.
[[nodiscard]] std::vector<QLineF> hatching(QRectF rect, double spacing);
void drawHatching(QPainter& painter, QRectF rect, const QColor& colour);

} // namespace twinlamp::ui

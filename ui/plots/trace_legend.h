// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>

namespace twinlamp::ui {

/// What the lines and marks of the traces mean, drawn as they are drawn there.
class TraceLegend : public QWidget
{
    Q_OBJECT

public:
    explicit TraceLegend(QWidget* parent = nullptr);

    [[nodiscard]] QSize sizeHint() const override;

protected:
    void paintEvent(QPaintEvent* event) override;
};

} // namespace twinlamp::ui

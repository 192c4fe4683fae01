// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>

namespace twinlamp::ui {

/// A drawing of what the high-speed camera should see: the reference lamp directly, the goggle's
/// screen with the other lamp on it, and the switch that both share.
class BenchSketch : public QWidget
{
    Q_OBJECT

public:
    explicit BenchSketch(QWidget* parent = nullptr);

    [[nodiscard]] QSize sizeHint() const override { return {560, 220}; }

protected:
    void paintEvent(QPaintEvent* event) override;
};

} // namespace twinlamp::ui

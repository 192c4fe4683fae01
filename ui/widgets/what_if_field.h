// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>

class QDoubleSpinBox;
class QSlider;

namespace twinlamp::ui {

/// What a value of a what-if question may be.
struct WhatIfRange
{
    double least = 0.0;
    double most = 1.0;
    int decimals = 1;
    QString unit; ///< stands behind the number
    /// Words for the least value, which then stands for something else: "none".
    QString leastMeans;
    bool even = false; ///< the slider goes evenly, else in ratios
};

/// A number to type and a slider for it, for values whose effect is to be seen at once.
class WhatIfField : public QWidget
{
    Q_OBJECT

public:
    explicit WhatIfField(const WhatIfRange& range, QWidget* parent = nullptr);

    [[nodiscard]] double value() const;
    void setValue(double value);
    /// For readers of the screen, and the tool tip.
    void describe(const QString& name, const QString& toolTip);

Q_SIGNALS:
    void changed();

private:
    [[nodiscard]] double atSlider(int place) const;
    [[nodiscard]] int sliderFor(double value) const;

    WhatIfRange m_range;
    QDoubleSpinBox* m_number = nullptr;
    QSlider* m_slider = nullptr;
};

} // namespace twinlamp::ui

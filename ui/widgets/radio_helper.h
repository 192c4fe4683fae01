// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>

class QComboBox;
class QDoubleSpinBox;
class QLabel;

namespace twinlamp::ui {

/// Small sums about channels and power: how two race channels overlap, mW and dBm, free-space loss.
class RadioHelper : public QWidget
{
    Q_OBJECT

public:
    explicit RadioHelper(QWidget* parent = nullptr);

    /// What it says now, a line each.
    [[nodiscard]] QString answer() const;

private:
    void reckon();

    QComboBox* m_one = nullptr;
    QComboBox* m_other = nullptr;
    QDoubleSpinBox* m_width = nullptr;
    QDoubleSpinBox* m_power = nullptr;
    QDoubleSpinBox* m_dbm = nullptr;
    QDoubleSpinBox* m_distance = nullptr;
    QLabel* m_channels = nullptr;
    QLabel* m_path = nullptr;
};

} // namespace twinlamp::ui

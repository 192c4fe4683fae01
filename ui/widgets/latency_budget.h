// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/press.h"

#include <QWidget>

#include <optional>
#include <vector>

namespace twinlamp::ui {

/// One stretch of a press, counted from its onset. Unit: ms.
struct BudgetBar
{
    QString name;
    double fromMs = 0.0;
    double toMs = 0.0;
    bool operator==(const BudgetBar&) const = default;
};

/// What the time of one press goes into: to first light, to settled, to full frame.
[[nodiscard]] std::vector<BudgetBar> budgetOf(const Press& press);

/// The stretches as small bars on one scale.
class LatencyBudget : public QWidget
{
    Q_OBJECT

public:
    explicit LatencyBudget(QWidget* parent = nullptr);

    void setBars(std::vector<BudgetBar> bars);

    [[nodiscard]] QSize sizeHint() const override;

protected:
    void paintEvent(QPaintEvent* event) override;

private:
    std::vector<BudgetBar> m_bars;
};

} // namespace twinlamp::ui

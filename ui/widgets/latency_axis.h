// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/plots/ruler.h"

#include <QWidget>

#include <optional>

namespace twinlamp::ui {

/// The one millisecond axis below all histograms of the session panel.
class LatencyAxis : public QWidget
{
    Q_OBJECT

public:
    explicit LatencyAxis(QWidget* parent = nullptr);

    /// Empty hides the ticks: nothing is measured yet.
    void setMapping(const std::optional<AxisMapping>& mapping);

    [[nodiscard]] const std::optional<AxisMapping>& mapping() const { return m_mapping; }

    [[nodiscard]] QSize sizeHint() const override;

protected:
    void paintEvent(QPaintEvent* event) override;

private:
    std::optional<AxisMapping> m_mapping;
};

} // namespace twinlamp::ui

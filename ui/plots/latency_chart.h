// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/plots/chart_data.h"
#include "ui/plots/ruler.h"

#include <QWidget>

#include <optional>
#include <vector>

namespace twinlamp::ui {

/// Histograms, distributions and the presses in time order, one above the other on one millisecond
/// axis. A line follows the mouse or the arrow keys through all of them and tells what lies on it.
class LatencyChart : public QWidget
{
    Q_OBJECT

public:
    explicit LatencyChart(QWidget* parent = nullptr);

    void setData(ChartData data);

    [[nodiscard]] const ChartData& data() const { return m_data; }

    /// Where the line stands, ms; none where there is none.
    [[nodiscard]] std::optional<double> readAt() const { return m_readAt; }

    /// What the line tells: "28.0 ms: A 43 %, B 71 % of presses answered by then".
    [[nodiscard]] QString reading() const;
    /// In words for the caption: how wide the bins are and how they were chosen.
    [[nodiscard]] QString binRule() const;

    [[nodiscard]] QSize sizeHint() const override { return {560, 480}; }

    [[nodiscard]] QSize minimumSizeHint() const override { return {320, 220}; }

protected:
    void paintEvent(QPaintEvent* event) override;
    void mouseMoveEvent(QMouseEvent* event) override;
    void leaveEvent(QEvent* event) override;
    void keyPressEvent(QKeyEvent* event) override;
    void focusOutEvent(QFocusEvent* event) override;

private:
    void setReadAt(std::optional<double> ms);
    [[nodiscard]] AxisMapping mapping() const;

    ChartData m_data;
    std::vector<std::vector<double>> m_shares; ///< bin shares of each series
    std::optional<double> m_readAt;
};

} // namespace twinlamp::ui

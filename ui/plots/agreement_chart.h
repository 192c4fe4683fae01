// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/report/readout_check.h"

#include <QWidget>

#include <vector>

class QCPGraph;
class QCustomPlot;

namespace twinlamp::ui {

/// Differences of readout and measured latency over their mean, a mark for each pair, with the bias
/// and the limits of agreement as lines and their intervals as bands.
class AgreementChart : public QWidget
{
    Q_OBJECT

public:
    explicit AgreementChart(QWidget* parent = nullptr);

    void setCheck(const report::ReadoutCheck& check);

    /// The pair at a place of the widget, or none (-1).
    [[nodiscard]] int pairAt(QPointF place) const;

    [[nodiscard]] QSize sizeHint() const override { return {480, 320}; }

    [[nodiscard]] QSize minimumSizeHint() const override { return {280, 200}; }

Q_SIGNALS:
    void pairPicked(int pair);

protected:
    bool eventFilter(QObject* watched, QEvent* event) override;
    void changeEvent(QEvent* event) override;

private:
    void addLine(double value, const QString& name, bool limit);
    void addBand(const stats::Interval& interval);
    void applyColours();
    void draw();

    QCustomPlot* m_plot = nullptr;
    QCPGraph* m_marks = nullptr;
    report::ReadoutCheck m_check;
};

} // namespace twinlamp::ui

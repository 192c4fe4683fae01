// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>

class QToolButton;

namespace twinlamp::ui {

class TracePlot;

/// The traces with their legend and the two views: the whole clip, one press.
class TracePane : public QWidget
{
    Q_OBJECT

public:
    explicit TracePane(QWidget* parent = nullptr);

    [[nodiscard]] TracePlot& plot() { return *m_plot; }

    /// Whether picking a press also shows it closely.
    [[nodiscard]] bool showsPress() const { return m_showsPress; }

    void setShowsPress(bool showsPress);

Q_SIGNALS:
    void viewChosen();

private:
    TracePlot* m_plot = nullptr;
    QToolButton* m_whole = nullptr;
    QToolButton* m_press = nullptr;
    bool m_showsPress = false;
};

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>

class QButtonGroup;
class QHBoxLayout;

namespace twinlamp::ui {

/// Names of the window's pages in one line; the one in hand is underlined. Arrow keys go from one
/// to the next.
class PageBar : public QWidget
{
    Q_OBJECT

public:
    explicit PageBar(QWidget* parent = nullptr);

    void addPage(const QString& name);
    void setCurrent(int page);
    [[nodiscard]] int current() const;
    [[nodiscard]] int count() const;

Q_SIGNALS:
    void picked(int page);

private:
    QButtonGroup* m_group = nullptr;
    QHBoxLayout* m_row = nullptr;
};

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>

class QLabel;

namespace twinlamp::ui {

/// What a page shows while it has nothing to show: what it is for, and what to bring.
class EmptyState : public QWidget
{
    Q_OBJECT

public:
    explicit EmptyState(const QString& title, QWidget* parent = nullptr);

    void setText(const QString& whatToBring);

private:
    QLabel* m_text = nullptr;
};

} // namespace twinlamp::ui

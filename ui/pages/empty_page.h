// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>

class QPushButton;

namespace twinlamp::ui {

/// What the Bench page shows while there is no clip: what to bring, and what to mind.
class EmptyPage : public QWidget
{
    Q_OBJECT

public:
    explicit EmptyPage(QWidget* parent = nullptr);

    /// Offers the sample session, where there is one.
    void setSampleOffered(bool offered);

Q_SIGNALS:
    void chooseClipsAsked();
    void openSampleAsked();

private:
    QPushButton* m_sample = nullptr;
};

} // namespace twinlamp::ui

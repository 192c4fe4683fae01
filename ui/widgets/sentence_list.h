// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QStringList>
#include <QWidget>

class QLabel;

namespace twinlamp::ui {

/// Sentences under a heading, one a line; hidden where there are none.
class SentenceList : public QWidget
{
    Q_OBJECT

public:
    explicit SentenceList(const QString& heading, QWidget* parent = nullptr);

    void setSentences(const QStringList& sentences);

    [[nodiscard]] QStringList sentences() const { return m_sentences; }

private:
    QLabel* m_text = nullptr;
    QStringList m_sentences;
};

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QPointer>
#include <QString>
#include <QWidget>

#include <functional>
#include <optional>
#include <vector>

class QLabel;

namespace twinlamp::ui {

/// A question or a message where the work is, with its answers as buttons.
struct Question
{
    struct Answer
    {
        QString text; ///< says what will happen
        std::function<void()> act;
    };

    /// A field for an answer that no button has.
    struct Field
    {
        QString label;
        QString placeholder;
        QString button;
        /// False where the text is not understood: the field is then marked and stays.
        std::function<bool(const QString&)> take;
        QString expected; ///< what the field takes, for one who typed something else
    };

    static constexpr int noLikelyAnswer = -1;

    QString key; ///< a later question of the same key replaces this one
    QString text;
    QString why; ///< what was found, what follows
    std::vector<Answer> answers;
    std::optional<Field> field;
    bool closable = true;
    /// Answer that stands out. None where nothing but the tester can know.
    int likely = 0;
};

class AskBar : public QWidget
{
    Q_OBJECT

public:
    explicit AskBar(Question question, QWidget* parent = nullptr);

    [[nodiscard]] const QString& key() const { return m_question.key; }

    /// Puts the keyboard on the first answer.
    void focusFirst();

Q_SIGNALS:
    void answered();

protected:
    void keyPressEvent(QKeyEvent* event) override;

private:
    QWidget* buildAnswers();
    QWidget* buildField();

    Question m_question;
};

/// Where questions and messages stand: one above the other, gone when answered.
class AskStack : public QWidget
{
    Q_OBJECT

public:
    explicit AskStack(QWidget* parent = nullptr);

    void ask(Question question);
    /// Takes back the question of that key, if it stands.
    void withdraw(const QString& key);
    [[nodiscard]] bool isAsking(const QString& key) const;
    /// Puts the keyboard on the first answer of a question; it goes back to where it was when the
    /// question goes.
    void focusOn(const QString& key);

private:
    [[nodiscard]] AskBar* find(const QString& key) const;

    QPointer<QWidget> m_focusBefore;
};

} // namespace twinlamp::ui

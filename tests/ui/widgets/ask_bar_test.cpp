// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/ask_bar.h"

#include <QApplication>
#include <QLineEdit>
#include <QPushButton>
#include <QTest>

#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

const QString key = QStringLiteral("rate");

QPushButton* buttonOf(const QWidget& stack, const QString& text)
{
    for (auto* button : stack.findChildren<QPushButton*>()) {
        if (button->text() == text) {
            return button;
        }
    }
    return nullptr;
}

} // namespace

TEST(AskStack, AnsweringActsAndTakesTheQuestionAway)
{
    AskStack stack;
    int answer = 0;
    stack.ask({key, QStringLiteral("How many?"), {},
        {{QStringLiteral("240"), [&] { answer = 240; }},
            {QStringLiteral("480"), [&] { answer = 480; }}},
        std::nullopt, true});
    EXPECT_TRUE(stack.isAsking(key));
    QTest::mouseClick(buttonOf(stack, QStringLiteral("480")), Qt::LeftButton);
    EXPECT_EQ(answer, 480);
    EXPECT_FALSE(stack.isAsking(key));
}

TEST(AskStack, ALaterQuestionOfTheSameKeyTakesItsPlace)
{
    AskStack stack;
    stack.ask({key, QStringLiteral("first"), {}, {}, std::nullopt, true});
    stack.ask({key, QStringLiteral("second"), {}, {}, std::nullopt, true});
    EXPECT_TRUE(stack.isAsking(key));
    stack.withdraw(key);
    EXPECT_FALSE(stack.isAsking(key));
}

TEST(AskStack, FieldStaysUntilItsTextIsUnderstood)
{
    AskStack stack;
    QString taken;
    stack.ask({key, QStringLiteral("How many?"), {}, {},
        Question::Field {QStringLiteral("another:"), {}, QStringLiteral("Use"),
            [&](const QString& text) {
                taken = text;
                return text == QStringLiteral("300");
            },
            {}},
        true});
    auto* edit = stack.findChild<QLineEdit*>();
    QTest::keyClicks(edit, QStringLiteral("3x"));
    QTest::keyClick(edit, Qt::Key_Return);
    EXPECT_TRUE(stack.isAsking(key));
    EXPECT_TRUE(edit->property("wrong").toBool());
    edit->clear();
    QTest::keyClicks(edit, QStringLiteral("300"));
    QTest::keyClick(edit, Qt::Key_Return);
    EXPECT_EQ(taken, QStringLiteral("300"));
    EXPECT_FALSE(stack.isAsking(key));
}

TEST(AskStack, EscapeCloses)
{
    AskStack stack;
    stack.ask({key, QStringLiteral("Know this"), {}, {}, std::nullopt, true});
    QTest::keyClick(stack.findChild<AskBar*>(), Qt::Key_Escape);
    EXPECT_FALSE(stack.isAsking(key));
}

TEST(AskStack, ReturnPressesTheAnswerUnderTheKeyboard)
{
    AskStack stack;
    int answer = 0;
    stack.ask({key, QStringLiteral("Play?"), {},
        {{QStringLiteral("Play"), [&] { answer = 1; }},
            {QStringLiteral("Step"), [&] { answer = 2; }}},
        std::nullopt, true});
    stack.focusOn(key);
    QTest::keyClick(buttonOf(stack, QStringLiteral("Play")), Qt::Key_Return);
    EXPECT_EQ(answer, 1);
}

TEST(AskStack, KeyboardGoesToTheQuestionAndBackWhereItWas)
{
    QWidget window;
    AskStack stack(&window);
    QLineEdit before(&window);
    window.show();
    window.activateWindow();
    ASSERT_TRUE(QTest::qWaitForWindowActive(&window));
    before.setFocus();
    const auto ask = [&] {
        stack.ask({key, QStringLiteral("Why?"), {}, {{QStringLiteral("camera was moved"), {}}},
            std::nullopt, true});
        stack.focusOn(key);
    };
    ask();
    EXPECT_TRUE(stack.isAncestorOf(QApplication::focusWidget()));
    ask(); // asked anew, the keyboard lands on the new one
    ASSERT_NE(QApplication::focusWidget(), nullptr);
    EXPECT_TRUE(QApplication::focusWidget()->isVisible());
    QTest::keyClick(QApplication::focusWidget(), Qt::Key_Return);
    EXPECT_FALSE(stack.isAsking(key));
    EXPECT_EQ(QApplication::focusWidget(), &before);
}

TEST(AskStack, NoAnswerStandsOutWhereOnlyTheTesterKnows)
{
    AskStack stack;
    stack.ask({key, QStringLiteral("How many?"), {},
        {{QStringLiteral("240"), {}}, {QStringLiteral("480"), {}}}, std::nullopt, true,
        Question::noLikelyAnswer});
    EXPECT_FALSE(buttonOf(stack, QStringLiteral("240"))->property("primary").toBool());
    stack.ask({key, QStringLiteral("Restarted?"), {},
        {{QStringLiteral("Yes"), {}}, {QStringLiteral("No"), {}}}, std::nullopt, true});
    EXPECT_TRUE(buttonOf(stack, QStringLiteral("Yes"))->property("primary").toBool());
}

} // namespace twinlamp::ui

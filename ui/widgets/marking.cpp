// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/marking.h"

#include "ui/theme/theme.h"

#include <QLabel>
#include <QLineEdit>
#include <QStyle>
#include <QToolTip>

namespace twinlamp::ui {

namespace {

void setStyleProperty(QWidget* widget, const char* name, bool on)
{
    if (widget->property(name).toBool() != on) {
        widget->setProperty(name, on);
        // Style sheets look at properties only when asked to.
        widget->style()->unpolish(widget);
        widget->style()->polish(widget);
    }
}

} // namespace

void markWrong(QWidget* field, bool wrong) { setStyleProperty(field, "wrong", wrong); }

void markWrong(QLineEdit* field, const QString& expected)
{
    markWrong(field, true);
    QToolTip::showText(field->mapToGlobal(QPoint(0, field->height() - 12)), expected, field);
}

void makePrimary(QWidget* button) { setStyleProperty(button, "primary", true); }

QLabel* quietLabel(const QString& text)
{
    auto* label = new QLabel(text);
    label->setFont(typeFont(TypeSize::Small));
    label->setProperty("quiet", true);
    label->setWordWrap(true);
    return label;
}

QLabel* wordLabel(const QString& text)
{
    constexpr int fieldHeight = 26;
    auto* label = new QLabel(text);
    label->setMinimumHeight(fieldHeight);
    label->setAlignment(Qt::AlignLeft | Qt::AlignVCenter);
    return label;
}

QLabel* headingLabel(const QString& text)
{
    auto* label = new QLabel(text.toUpper());
    label->setFont(typeFont(TypeSize::Small, true));
    label->setProperty("heading", true);
    return label;
}

} // namespace twinlamp::ui

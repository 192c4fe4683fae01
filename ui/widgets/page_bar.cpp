// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/page_bar.h"

#include "ui/theme/theme.h"

#include <QButtonGroup>
#include <QHBoxLayout>
#include <QPushButton>
#include <QVariant>

namespace twinlamp::ui {

PageBar::PageBar(QWidget* parent)
    : QWidget(parent)
    , m_group(new QButtonGroup(this))
    , m_row(new QHBoxLayout(this))
{
    setObjectName(QStringLiteral("pageBar"));
    setAttribute(Qt::WA_StyledBackground);
    m_row->setContentsMargins(12, 0, 12, 0);
    m_row->setSpacing(4);
    m_row->addStretch();
    connect(m_group, &QButtonGroup::idClicked, this, &PageBar::picked);
}

void PageBar::addPage(const QString& name)
{
    auto* button = new QPushButton(name);
    button->setCheckable(true);
    button->setProperty("page", true);
    // The name of the page in hand is bold and must fit; 26: the theme's padding and a pixel each.
    constexpr int sides = 26;
    button->setMinimumWidth(
        QFontMetrics(typeFont(TypeSize::Base, true)).horizontalAdvance(name) + sides);
    const int id = count();
    m_group->addButton(button, id);
    button->setChecked(id == 0);
    m_row->insertWidget(id, button);
}

void PageBar::setCurrent(int page)
{
    if (QAbstractButton* button = m_group->button(page)) {
        button->setChecked(true);
    }
}

int PageBar::current() const { return m_group->checkedId(); }

int PageBar::count() const { return static_cast<int>(m_group->buttons().size()); }

} // namespace twinlamp::ui

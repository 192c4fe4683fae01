// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/plots/trace_pane.h"

#include "ui/plots/trace_legend.h"
#include "ui/plots/trace_plot.h"
#include "ui/theme/theme.h"
#include "ui/widgets/marking.h"

#include <QHBoxLayout>
#include <QLabel>
#include <QToolButton>

namespace twinlamp::ui {

TracePane::TracePane(QWidget* parent)
    : QWidget(parent)
    , m_plot(new TracePlot)
    , m_whole(new QToolButton)
    , m_press(new QToolButton)
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(8, 0, 0, 0);
    column->setSpacing(0);
    auto* head = new QHBoxLayout;
    head->setSpacing(8);
    head->addWidget(headingLabel(tr("Light")));
    head->addWidget(new TraceLegend, 1);
    m_whole->setText(tr("Whole clip"));
    m_whole->setToolTip(tr("Show the whole clip (Home)"));
    m_press->setText(tr("This press"));
    m_press->setToolTip(tr("Show the press in hand closely"));
    for (QToolButton* button : {m_whole, m_press}) {
        button->setCheckable(true);
        button->setFont(typeFont(TypeSize::Small));
        head->addWidget(button);
    }
    connect(m_whole, &QToolButton::clicked, this, [this] {
        setShowsPress(false);
        Q_EMIT viewChosen();
    });
    connect(m_press, &QToolButton::clicked, this, [this] {
        setShowsPress(true);
        Q_EMIT viewChosen();
    });
    column->addLayout(head);
    column->addWidget(m_plot, 1);
    setShowsPress(false);
}

void TracePane::setShowsPress(bool showsPress)
{
    m_showsPress = showsPress;
    m_whole->setChecked(!showsPress);
    m_press->setChecked(showsPress);
}

} // namespace twinlamp::ui

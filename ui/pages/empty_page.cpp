// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/pages/empty_page.h"

#include "ui/theme/theme.h"
#include "ui/widgets/cautions.h"
#include "ui/widgets/marking.h"

#include <QHBoxLayout>
#include <QLabel>
#include <QPushButton>
#include <QVBoxLayout>

namespace twinlamp::ui {

EmptyPage::EmptyPage(QWidget* parent)
    : QWidget(parent)
{
    auto* outer = new QHBoxLayout(this);
    outer->addStretch();
    auto* column = new QVBoxLayout;
    column->setSpacing(12);
    outer->addLayout(column, 4);
    outer->addStretch();
    column->addStretch(2);
    auto* title = new QLabel(tr("Drop a clip of the lamp pair here"));
    title->setFont(typeFont(TypeSize::Figure, true));
    title->setWordWrap(true);
    column->addWidget(title);
    auto* bring = new QLabel(
        tr("Bring high-speed footage, 240 frames/s or more, in which two lamps on one switch go on "
           "and off: one seen directly, one on the goggle's screen. A clip of ten or more presses, "
           "at moments of your own, tells more than one press. Film a second before the first and "
           "after the last."));
    bring->setWordWrap(true);
    column->addWidget(bring);
    auto* row = new QHBoxLayout;
    auto* choose = new QPushButton(tr("Choose clips…"));
    makePrimary(choose);
    m_sample = new QPushButton(tr("Open the sample session"));
    m_sample->setToolTip(tr("An invented bench campaign on simulated footage"));
    row->addWidget(choose);
    row->addWidget(m_sample);
    row->addStretch();
    column->addLayout(row);
    column->addSpacing(16);
    column->addWidget(headingLabel(tr("Mind on the bench")));
    column->addWidget(quietLabel(cautionsShort()));
    column->addStretch(3);
    connect(choose, &QPushButton::clicked, this, &EmptyPage::chooseClipsAsked);
    connect(m_sample, &QPushButton::clicked, this, &EmptyPage::openSampleAsked);
}

void EmptyPage::setSampleOffered(bool offered) { m_sample->setVisible(offered); }

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/pages/empty_page.h"

#include "ui/pages/bench_sketch.h"
#include "ui/theme/theme.h"
#include "ui/widgets/cautions.h"
#include "ui/widgets/marking.h"

#include <QHBoxLayout>
#include <QLabel>
#include <QPushButton>
#include <QScrollArea>
#include <QVBoxLayout>

namespace twinlamp::ui {

namespace {

constexpr int columnWidth = 560; ///< lines longer than this are hard to read

QLabel* paragraph(const QString& text)
{
    auto* label = new QLabel(text);
    label->setWordWrap(true);
    return label;
}

} // namespace

EmptyPage::EmptyPage(QWidget* parent)
    : QWidget(parent)
{
    auto* content = new QWidget;
    content->setObjectName(QStringLiteral("page"));
    content->setFixedWidth(columnWidth);
    auto* column = new QVBoxLayout(content);
    column->setContentsMargins(0, 24, 0, 24);
    column->setSpacing(12);
    column->addStretch(1);
    auto* title = new QLabel(tr("Drop a clip of the lamp pair here"));
    title->setFont(typeFont(TypeSize::Figure, true));
    column->addWidget(title);
    column->addWidget(new BenchSketch);
    column->addWidget(paragraph(
        tr("Bring high-speed footage, 240 frames/s or more, in which two lamps on one switch go on "
           "and off: one seen directly, one on the goggle's screen. Press ten times or more, at "
           "moments of your own, and film a second before the first and after the last.")));
    auto* row = new QHBoxLayout;
    row->setSpacing(8);
    auto* choose = new QPushButton(tr("Choose clips…"));
    makePrimary(choose);
    m_sample = new QPushButton(tr("Open the sample session"));
    m_sample->setToolTip(tr("An invented bench campaign on simulated footage"));
    row->addWidget(choose);
    row->addWidget(m_sample);
    row->addStretch();
    column->addLayout(row);
    column->addSpacing(12);
    column->addWidget(headingLabel(tr("Care on the bench")));
    column->addWidget(quietLabel(cautionsShort()));
    column->addStretch(2);
    auto* scroll = new QScrollArea;
    scroll->setWidget(content);
    scroll->setWidgetResizable(true);
    scroll->setAlignment(Qt::AlignHCenter);
    scroll->setFrameShape(QFrame::NoFrame);
    auto* outer = new QVBoxLayout(this);
    outer->setContentsMargins(0, 0, 0, 0);
    outer->addWidget(scroll);
    connect(choose, &QPushButton::clicked, this, &EmptyPage::chooseClipsAsked);
    connect(m_sample, &QPushButton::clicked, this, &EmptyPage::openSampleAsked);
}

void EmptyPage::setSampleOffered(bool offered) { m_sample->setVisible(offered); }

} // namespace twinlamp::ui

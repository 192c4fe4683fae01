// SPDX-License-Identifier: GPL-3.0-or-later
// How the page is built; what it shows and does is in compare_page_work.cpp.
#include "ui/pages/compare_page.h"

#include "ui/plots/latency_chart.h"
#include "ui/theme/theme.h"
#include "ui/widgets/empty_state.h"
#include "ui/widgets/figure_table.h"
#include "ui/widgets/marking.h"
#include "ui/widgets/sentence_list.h"
#include "ui/widgets/verdict_card.h"

#include <QComboBox>
#include <QDoubleSpinBox>
#include <QHBoxLayout>
#include <QLabel>
#include <QScrollArea>
#include <QSettings>
#include <QSplitter>
#include <QStackedWidget>
#include <QTimer>
#include <QToolButton>
#include <QVBoxLayout>

namespace twinlamp::ui {

namespace {

constexpr int delayMs = 120; ///< a burst of edits is answered once
constexpr double mostMs = 1000.0;
constexpr int choiceWidth = 200;
constexpr int fieldWidth = 84;

QComboBox* settingChoice(const QString& name, const QString& toolTip)
{
    auto* choice = new QComboBox;
    choice->setMinimumWidth(choiceWidth);
    choice->setAccessibleName(name);
    choice->setToolTip(toolTip);
    choice->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
    choice->setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Fixed);
    choice->setMaximumWidth(2 * choiceWidth);
    return choice;
}

QDoubleSpinBox* msField(const QString& name, const QString& none, const QString& toolTip)
{
    auto* field = new QDoubleSpinBox;
    field->setRange(0.0, mostMs);
    field->setDecimals(1);
    field->setSuffix(QStringLiteral(" ms"));
    field->setSpecialValueText(none);
    field->setKeyboardTracking(false);
    field->setButtonSymbols(QAbstractSpinBox::NoButtons); // arrow keys and the wheel do it
    field->setFixedWidth(fieldWidth);
    field->setAccessibleName(name);
    field->setToolTip(toolTip);
    return field;
}

} // namespace

ComparePage::ComparePage(SessionDocument& document, QThreadPool& pool, QWidget* parent)
    : QWidget(parent)
    , m_document(document)
    , m_runner(pool)
    , m_delay(new QTimer(this))
{
    setObjectName(QStringLiteral("page"));
    setAttribute(Qt::WA_StyledBackground);
    m_delay->setSingleShot(true);
    m_delay->setInterval(delayMs);
    build();
    wire();
    onSessionChanged();
}

ComparePage::~ComparePage() { keep(); }

void ComparePage::build()
{
    auto* whole = new QWidget;
    auto* column = new QVBoxLayout(whole);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
    column->addWidget(buildChoice());
    column->addWidget(buildVerdicts());
    m_splitter = new QSplitter;
    m_splitter->setChildrenCollapsible(false);
    auto* left = new QWidget;
    auto* charts = new QVBoxLayout(left);
    charts->setContentsMargins(8, 8, 4, 8);
    charts->setSpacing(4);
    m_chart = new LatencyChart;
    m_binRule = quietLabel({});
    m_binRule->setContentsMargins(8, 0, 8, 0);
    charts->addWidget(m_chart, 1);
    charts->addWidget(m_binRule);
    m_splitter->addWidget(left);
    m_splitter->addWidget(buildFigures());
    m_splitter->setStretchFactor(0, 1);
    m_splitter->setSizes({720, 560});
    column->addWidget(m_splitter, 1);
    m_stack = new QStackedWidget;
    m_empty = new EmptyState(tr("Two link settings side by side"));
    m_stack->addWidget(m_empty);
    m_stack->addWidget(whole);
    auto* outer = new QVBoxLayout(this);
    outer->setContentsMargins(0, 0, 0, 0);
    outer->addWidget(m_stack);
    const QByteArray sizes = QSettings().value(QStringLiteral("compare/splitter")).toByteArray();
    if (!sizes.isEmpty()) {
        m_splitter->restoreState(sizes);
    }
}

QWidget* ComparePage::buildChoice()
{
    auto* strip = new QWidget;
    strip->setObjectName(QStringLiteral("answerStrip"));
    strip->setAttribute(Qt::WA_StyledBackground);
    auto* row = new QHBoxLayout(strip);
    row->setContentsMargins(16, 6, 16, 6);
    row->setSpacing(8);
    const auto letter = [](const QString& text) {
        auto* label = new QLabel(text);
        label->setFont(typeFont(TypeSize::Base, true));
        return label;
    };
    m_a = settingChoice(tr("Link setting A"), tr("Link setting A: drawn filled"));
    m_b = settingChoice(
        tr("Link setting B"), tr("Link setting B: drawn hatched. Differences are B less A."));
    m_swap = new QToolButton;
    m_swap->setText(QStringLiteral("\u21C4"));
    m_swap->setToolTip(tr("Let A and B change places"));
    m_swap->setAccessibleName(tr("Let A and B change places"));
    row->addWidget(letter(QStringLiteral("A")));
    row->addWidget(m_a, 1);
    row->addWidget(m_swap);
    row->addWidget(letter(QStringLiteral("B")));
    row->addWidget(m_b, 1);
    row->addSpacing(12);
    buildLimits(row);
    m_working = quietLabel(tr("working it out\u2026"));
    m_working->setWordWrap(false);
    QSizePolicy kept = m_working->sizePolicy();
    kept.setRetainSizeWhenHidden(true); // fields must not jump while it comes and goes
    m_working->setSizePolicy(kept);
    m_working->hide();
    row->addStretch();
    row->addWidget(m_working);
    return strip;
}

void ComparePage::buildLimits(QHBoxLayout* row)
{
    m_figure = new QComboBox;
    m_figure->addItem(tr("first light"), static_cast<int>(stats::Figure::FirstLight));
    m_figure->addItem(tr("full frame"), static_cast<int>(stats::Figure::FullFrame));
    m_figure->setAccessibleName(tr("Which latency is compared"));
    m_figure->setToolTip(tr("Latency up to first light of the goggle lamp, or until the last part "
                            "of the panel has changed"));
    m_limit = msField(tr("Late limit, ms"), tr("none"),
        tr("The session's budget in ms: presses over it, and lost ones, are late"));
    m_margin = msField(tr("Margin, ms"), tr("none"),
        tr("A shift up to this many ms is of no interest: the verdict can then be 'the same'"));
    row->addWidget(m_figure);
    const auto add = [&](const QString& text, QDoubleSpinBox* field) {
        auto* label = new QLabel(text);
        label->setBuddy(field);
        row->addSpacing(4);
        row->addWidget(label);
        row->addWidget(field);
    };
    add(tr("&late over"), m_limit);
    add(tr("sa&me within"), m_margin);
}

QWidget* ComparePage::buildVerdicts()
{
    auto* strip = new QWidget;
    strip->setObjectName(QStringLiteral("answerStrip"));
    strip->setAttribute(Qt::WA_StyledBackground);
    auto* row = new QHBoxLayout(strip);
    row->setContentsMargins(16, 8, 16, 8);
    row->setSpacing(24);
    for (VerdictCard*& card : m_verdicts) {
        card = new VerdictCard;
        row->addWidget(card, 1);
    }
    return strip;
}

QWidget* ComparePage::buildFigures()
{
    auto* holder = new QWidget;
    holder->setObjectName(QStringLiteral("page"));
    auto* column = new QVBoxLayout(holder);
    column->setContentsMargins(8, 8, 16, 16);
    column->setSpacing(16);
    m_figures = new FigureTable(tr("Shift, spread and late share"));
    m_each = new FigureTable(tr("Figures of each setting"));
    m_ranking = new FigureTable(tr("All settings, fastest first"));
    m_fair = new SentenceList(tr("Was the test fair?"));
    m_conditions = new SentenceList(tr("Conditions that differ"));
    m_rankingWords = new SentenceList(tr("About this ranking"));
    m_rest = new SentenceList(tr("What this rests on"));
    column->addWidget(m_figures);
    column->addWidget(m_conditions);
    column->addWidget(m_fair);
    column->addWidget(m_each);
    column->addWidget(m_ranking);
    column->addWidget(m_rankingWords);
    column->addWidget(m_rest);
    column->addStretch(1);
    auto* scroll = new QScrollArea;
    scroll->setWidget(holder);
    scroll->setWidgetResizable(true);
    scroll->setFrameShape(QFrame::NoFrame);
    scroll->setMinimumWidth(380);
    return scroll;
}

void ComparePage::wire()
{
    connect(&m_document, &SessionDocument::changed, this, &ComparePage::onSessionChanged);
    connect(&m_document, &SessionDocument::replaced, this, [this] {
        m_runner.drop();
        m_answer.reset();
        m_a->clear();
        m_b->clear();
        onSessionChanged();
    });
    connect(&m_runner, &JobRunner::runningChanged, m_working, &QWidget::setVisible);
    connect(m_delay, &QTimer::timeout, this, &ComparePage::start);
    for (QComboBox* choice : {m_a, m_b, m_figure}) {
        connect(choice, &QComboBox::currentIndexChanged, this, [this] {
            if (!m_filling) {
                keep();
                ask();
            }
        });
    }
    connect(m_margin, &QDoubleSpinBox::valueChanged, this, [this] {
        if (!m_filling) {
            keep();
            ask();
        }
    });
    connect(m_limit, &QDoubleSpinBox::valueChanged, this, &ComparePage::takeLimit);
    connect(m_swap, &QToolButton::clicked, this, &ComparePage::swap);
}

} // namespace twinlamp::ui

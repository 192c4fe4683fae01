// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/pages/reckon_page.h"

#include "ui/models/comparison_answer.h"
#include "ui/plots/latency_chart.h"
#include "ui/theme/theme.h"
#include "ui/widgets/figure_table.h"
#include "ui/widgets/marking.h"
#include "ui/widgets/plan_panel.h"
#include "ui/widgets/radio_helper.h"
#include "ui/widgets/sentence_list.h"
#include "ui/widgets/what_if_form.h"

#include <QComboBox>
#include <QHBoxLayout>
#include <QLabel>
#include <QPushButton>
#include <QScrollArea>
#include <QSettings>
#include <QSplitter>
#include <QTimer>
#include <QVBoxLayout>

#include <utility>

namespace twinlamp::ui {

namespace {

constexpr int delayMs = 60; ///< a slider that is dragged is answered as it goes
constexpr QLatin1String measuredKey("reckon/measured");
constexpr QLatin1String splitterKey("reckon/splitter");

/// As wide as the content needs at least: nothing is cut.
QScrollArea* scrolled(QWidget* content)
{
    constexpr int scrollBar = 14;
    auto* scroll = new QScrollArea;
    scroll->setWidget(content);
    scroll->setWidgetResizable(true);
    scroll->setFrameShape(QFrame::NoFrame);
    scroll->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    scroll->setMinimumWidth(content->minimumSizeHint().width() + scrollBar);
    return scroll;
}

} // namespace

ReckonPage::ReckonPage(SessionDocument& document, QThreadPool& pool, QWidget* parent)
    : QWidget(parent)
    , m_document(document)
    , m_runner(pool)
    , m_delay(new QTimer(this))
    , m_wanted(QSettings().value(measuredKey).toString())
{
    setObjectName(QStringLiteral("page"));
    setAttribute(Qt::WA_StyledBackground);
    m_delay->setSingleShot(true);
    m_delay->setInterval(delayMs);
    build();
    connect(&m_document, &SessionDocument::changed, this, &ReckonPage::onSessionChanged);
    connect(&m_document, &SessionDocument::replaced, this, &ReckonPage::onSessionChanged);
    connect(m_delay, &QTimer::timeout, this, &ReckonPage::start);
    connect(m_form, &WhatIfForm::changed, this, &ReckonPage::ask);
    connect(m_measured, &QComboBox::currentIndexChanged, this, [this] {
        if (!m_filling) {
            m_wanted = m_measured->currentIndex() > 0 ? m_measured->currentText() : QString();
            ask();
        }
    });
    onSessionChanged();
}

ReckonPage::~ReckonPage() { keep(); }

void ReckonPage::build()
{
    m_plans = new PlanPanel;
    m_plans->setObjectName(QStringLiteral("page"));
    m_splitter = new QSplitter;
    m_splitter->setChildrenCollapsible(false);
    m_splitter->addWidget(scrolled(m_plans));
    m_splitter->addWidget(buildLink());
    m_splitter->addWidget(buildChart());
    m_splitter->setStretchFactor(2, 1);
    m_splitter->setSizes({350, 500, 516});
    auto* outer = new QVBoxLayout(this);
    outer->setContentsMargins(0, 0, 0, 0);
    outer->addWidget(m_splitter);
    const QByteArray sizes = QSettings().value(splitterKey).toByteArray();
    if (!sizes.isEmpty()) {
        m_splitter->restoreState(sizes);
    }
}

QWidget* ReckonPage::buildLink()
{
    auto* holder = new QWidget;
    holder->setObjectName(QStringLiteral("page"));
    auto* column = new QVBoxLayout(holder);
    column->setContentsMargins(16, 8, 16, 16);
    column->setSpacing(8);
    column->addWidget(headingLabel(tr("What does a link leave room for?")));
    auto* general = new QLabel(
        tr("A model of retransmission in general, not of one radio: what would follow if packets "
           "were lost and repeated like this."));
    general->setWordWrap(true);
    column->addWidget(general);
    m_form = new WhatIfForm;
    column->addWidget(m_form);
    column->addSpacing(8);
    column->addWidget(new RadioHelper);
    column->addStretch(1);
    return scrolled(holder);
}

QWidget* ReckonPage::buildMeasured()
{
    auto* holder = new QWidget;
    auto* row = new QHBoxLayout(holder);
    row->setContentsMargins(8, 0, 8, 0);
    row->setSpacing(6);
    m_measured = new QComboBox;
    m_measured->setAccessibleName(tr("Measured link setting beside the models"));
    m_measured->setToolTip(
        tr("First-light latencies of this setting on the same millisecond axis as the models"));
    m_measured->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
    m_measured->setMinimumContentsLength(14);
    m_conditions = new QPushButton(tr("Link 1 as it was set"));
    m_conditions->setToolTip(
        tr("Puts the setting's bit rate, frame rate, resolution, channel width "
           "and panel rate into link 1, as far as they are told"));
    auto* label = new QLabel(tr("Measured:"));
    label->setBuddy(m_measured);
    row->addWidget(label);
    row->addWidget(m_measured, 1);
    row->addWidget(m_conditions);
    connect(m_conditions, &QPushButton::clicked, this, &ReckonPage::takeConditions);
    return holder;
}

QWidget* ReckonPage::buildChart()
{
    auto* holder = new QWidget;
    holder->setObjectName(QStringLiteral("page"));
    auto* column = new QVBoxLayout(holder);
    column->setContentsMargins(4, 8, 8, 16);
    column->setSpacing(8);
    m_chart = new LatencyChart;
    m_chart->setMinimumHeight(300);
    m_binRule = quietLabel({});
    m_binRule->setContentsMargins(8, 0, 8, 0);
    m_table = new FigureTable(tr("What both links leave room for"));
    m_words = new SentenceList(tr("Taken for granted"));
    column->addWidget(buildMeasured());
    column->addWidget(m_chart, 1);
    column->addWidget(m_binRule);
    column->addWidget(m_table);
    column->addWidget(m_words);
    return scrolled(holder);
}

session::SettingId ReckonPage::measured() const { return {m_measured->currentData().toLongLong()}; }

void ReckonPage::pickMeasured(session::SettingId setting)
{
    const int row = m_measured->findData(QVariant::fromValue<qlonglong>(setting.value));
    m_measured->setCurrentIndex(std::max(0, row));
}

void ReckonPage::onSessionChanged()
{
    m_isSessionNew = true;
    if (isVisible()) {
        takeSession();
    }
}

/// Figures of all settings cost milliseconds where there are many presses: only for eyes.
void ReckonPage::takeSession()
{
    m_isSessionNew = false;
    const session::Session& session = m_document.session();
    m_plans->setSession(session);
    m_filling = true;
    m_measured->clear();
    m_measured->addItem(session.settings.empty()
            ? tr("none: open a session to hold it against the model")
            : tr("none"),
        QVariant::fromValue<qlonglong>(0));
    for (const session::LinkSetting& setting : session.settings) {
        m_measured->addItem(
            QString::fromStdString(setting.name), QVariant::fromValue<qlonglong>(setting.id.value));
    }
    m_measured->setCurrentIndex(std::max(0, m_measured->findText(m_wanted)));
    m_filling = false;
    ask();
}

void ReckonPage::takeConditions()
{
    const session::LinkSetting* setting = session::find(m_document.session(), measured());
    if (setting != nullptr) {
        m_form->takeConditions(0, setting->conditions);
    }
}

void ReckonPage::ask()
{
    m_isStale = true;
    m_conditions->setEnabled(static_cast<bool>(measured()));
    if (isVisible()) {
        m_delay->start();
    }
}

void ReckonPage::showEvent(QShowEvent* event)
{
    QWidget::showEvent(event);
    if (m_isSessionNew) {
        takeSession();
    }
    if (m_isStale) {
        ask();
    }
}

void ReckonPage::start()
{
    m_isStale = false;
    m_runner.start<LinkAnswer>(
        [session = m_document.session(), setting = measured(), links = m_form->links()](
            const JobControl&) -> JobResult<LinkAnswer> {
            std::optional<ChartSeries> presses;
            if (session::find(session, setting) != nullptr) {
                presses = chartSeries(session, setting, stats::Figure::FirstLight);
            }
            return reckonLinks(links, presses);
        },
        [this](JobResult<LinkAnswer>&& outcome) {
            if (outcome.hasValue()) {
                take(std::move(outcome).value());
            }
        });
}

void ReckonPage::take(LinkAnswer answer)
{
    for (std::size_t i = 0; i < answer.chart.curves.size(); ++i) {
        ChartCurve& curve = answer.chart.curves[i];
        curve.name = tr("link %1").arg(i + 1);
        curve.letter = curve.name;
    }
    m_answer = std::move(answer);
    m_chart->setData(m_answer->chart);
    m_binRule->setText(m_chart->binRule());
    FigureLines lines = linkTable(*m_answer);
    m_table->setTable(lines.columns, std::move(lines.rows));
    m_words->setSentences(linkWords(*m_answer));
    keep(); // a window that is killed comes back as it was
    Q_EMIT answered();
}

void ReckonPage::stop()
{
    m_delay->stop();
    m_runner.drop();
    m_isStale = true;
    keep();
}

void ReckonPage::keep() const
{
    m_plans->keep();
    m_form->keep();
    QSettings kept;
    kept.setValue(measuredKey, m_wanted);
    kept.setValue(splitterKey, m_splitter->saveState());
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/pages/readout_page.h"

#include "core/session/edit_chain.h"
#include "ui/models/readout_table_model.h"
#include "ui/plots/agreement_chart.h"
#include "ui/widgets/empty_state.h"
#include "ui/widgets/figure_table.h"
#include "ui/widgets/marking.h"
#include "ui/widgets/readout_table.h"
#include "ui/widgets/sentence_list.h"
#include "ui/widgets/verdict_card.h"

#include <QComboBox>
#include <QHBoxLayout>
#include <QLabel>
#include <QScrollArea>
#include <QSettings>
#include <QSplitter>
#include <QStackedWidget>
#include <QTimer>
#include <QVBoxLayout>

#include <algorithm>
#include <utility>

namespace twinlamp::ui {

namespace {

constexpr int delayMs = 120; ///< a burst of edits is answered once
constexpr QLatin1String ofKey("readout/pairs");
constexpr QLatin1String splitterKey("readout/splitter");

} // namespace

ReadoutPage::ReadoutPage(SessionDocument& document, QThreadPool& pool, QWidget* parent)
    : QWidget(parent)
    , m_document(document)
    , m_runner(pool)
    , m_delay(new QTimer(this))
    , m_model(new ReadoutTableModel(this))
{
    setObjectName(QStringLiteral("page"));
    setAttribute(Qt::WA_StyledBackground);
    m_delay->setSingleShot(true);
    m_delay->setInterval(delayMs);
    build();
    wire();
    onSessionChanged();
}

ReadoutPage::~ReadoutPage() { keep(); }

void ReadoutPage::build()
{
    auto* whole = new QWidget;
    auto* column = new QVBoxLayout(whole);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
    column->addWidget(buildChoice());
    m_splitter = new QSplitter;
    m_splitter->setChildrenCollapsible(false);
    m_splitter->addWidget(buildTable());
    m_splitter->addWidget(buildFigures());
    m_splitter->setStretchFactor(1, 1);
    m_splitter->setSizes({660, 700});
    column->addWidget(m_splitter, 1);
    m_stack = new QStackedWidget;
    auto* empty = new EmptyState(tr("What the goggle says about itself"));
    empty->setText(
        tr("Some goggles display a latency of their own. Open a session with measured clips, note "
           "what the goggle displayed at each press, and type it in here: the page tells how far "
           "it is off, how much that scatters, and whether it changes with the latency."));
    m_stack->addWidget(empty);
    m_stack->addWidget(whole);
    auto* outer = new QVBoxLayout(this);
    outer->setContentsMargins(0, 0, 0, 0);
    outer->addWidget(m_stack);
    const QByteArray sizes = QSettings().value(splitterKey).toByteArray();
    if (!sizes.isEmpty()) {
        m_splitter->restoreState(sizes);
    }
}

QWidget* ReadoutPage::buildChoice()
{
    auto* strip = new QWidget;
    strip->setObjectName(QStringLiteral("answerStrip"));
    strip->setAttribute(Qt::WA_StyledBackground);
    auto* row = new QHBoxLayout(strip);
    row->setContentsMargins(16, 8, 16, 8);
    row->setSpacing(8);
    m_of = new QComboBox;
    m_of->addItem(tr("at each press"), static_cast<int>(report::PairsOf::Presses));
    m_of->addItem(tr("for a setting as a whole"), static_cast<int>(report::PairsOf::Settings));
    m_of->setAccessibleName(tr("When the goggle's figure was noted"));
    m_of->setToolTip(
        tr("Figures noted at single presses are held against the latency of each, ms; those noted "
           "for a link setting as a whole against its median, ms"));
    m_setting = new QComboBox;
    m_setting->setAccessibleName(tr("Link setting"));
    m_setting->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
    m_setting->setMinimumContentsLength(18);
    auto* label = new QLabel(tr("&Readouts noted"));
    label->setBuddy(m_of);
    auto* in = new QLabel(tr("&in"));
    in->setBuddy(m_setting);
    m_verdict = new VerdictCard;
    auto* fields = new QVBoxLayout;
    fields->setSpacing(4);
    auto* first = new QHBoxLayout;
    first->setSpacing(8);
    first->addWidget(label);
    first->addWidget(m_of);
    auto* second = new QHBoxLayout;
    second->setSpacing(8);
    second->addWidget(in);
    second->addWidget(m_setting, 1);
    fields->addLayout(first);
    fields->addLayout(second);
    fields->addStretch(1);
    row->addLayout(fields);
    row->addSpacing(24);
    row->addWidget(m_verdict, 1);
    return strip;
}

QWidget* ReadoutPage::buildTable()
{
    auto* holder = new QWidget;
    auto* column = new QVBoxLayout(holder);
    column->setContentsMargins(8, 8, 4, 8);
    column->setSpacing(4);
    m_table = new ReadoutTable(*m_model);
    m_told = quietLabel({});
    m_told->setContentsMargins(8, 0, 8, 0);
    column->addWidget(m_table, 1);
    column->addWidget(m_told);
    tell({});
    return holder;
}

QWidget* ReadoutPage::buildFigures()
{
    auto* holder = new QWidget;
    holder->setObjectName(QStringLiteral("page"));
    auto* column = new QVBoxLayout(holder);
    column->setContentsMargins(8, 8, 16, 16);
    column->setSpacing(12);
    m_chart = new AgreementChart;
    m_figures = new FigureTable(tr("How far readout and measured agree"));
    m_words = new SentenceList(tr("What this rests on"));
    column->addWidget(m_chart, 1);
    column->addWidget(m_figures);
    column->addWidget(m_words);
    auto* scroll = new QScrollArea;
    scroll->setWidget(holder);
    scroll->setWidgetResizable(true);
    scroll->setFrameShape(QFrame::NoFrame);
    scroll->setMinimumWidth(360);
    return scroll;
}

void ReadoutPage::wire()
{
    connect(&m_document, &SessionDocument::changed, this, &ReadoutPage::onSessionChanged);
    connect(&m_document, &SessionDocument::replaced, this, [this] {
        m_runner.drop();
        m_answer.reset();
        m_setting->clear();
    });
    connect(m_delay, &QTimer::timeout, this, &ReadoutPage::start);
    for (QComboBox* choice : {m_of, m_setting}) {
        connect(choice, &QComboBox::currentIndexChanged, this, [this] {
            if (!m_filling) {
                keep();
                ask();
            }
        });
    }
    connect(m_model, &ReadoutTableModel::readoutTyped, this, &ReadoutPage::type);
    connect(m_model, &ReadoutTableModel::notUnderstood, this, [this](const QString& text) {
        tell(tr("'%1' was not kept: a latency in ms above 0 is expected, for example 31.5.")
                 .arg(text));
    });
    connect(m_table, &ReadoutTable::pasted, this, &ReadoutPage::paste);
    connect(m_table, &ReadoutTable::clearAsked, this, [this](int row) { type(row, {}); });
    connect(m_chart, &AgreementChart::pairPicked, this, &ReadoutPage::goToPair);
    m_filling = true;
    m_of->setCurrentIndex(QSettings().value(ofKey, 0).toInt() == 1 ? 1 : 0);
    m_filling = false;
}

void ReadoutPage::tell(const QString& text)
{
    m_told->setText(!text.isEmpty()
            ? text
            : tr("Type the displayed latency in ms and press Enter for the next line. A column can "
                 "be pasted."));
}

void ReadoutPage::pick(report::PairsOf of, session::SettingId setting)
{
    m_filling = true;
    m_of->setCurrentIndex(m_of->findData(static_cast<int>(of)));
    const int row = m_setting->findData(QVariant::fromValue<qlonglong>(setting.value));
    m_setting->setCurrentIndex(std::max(0, row));
    m_filling = false;
    keep();
    ask();
}

void ReadoutPage::onSessionChanged()
{
    fillSettings();
    const auto& clips = m_document.session().clips;
    const bool isMeasured = std::ranges::any_of(
        clips, [](const session::Clip& clip) { return static_cast<bool>(clip.measurement); });
    m_stack->setCurrentIndex(isMeasured ? 1 : 0);
    m_model->setEditable(!m_document.isReadOnly());
    ask();
}

void ReadoutPage::fillSettings()
{
    m_filling = true;
    const QVariant before = m_setting->currentData();
    m_setting->clear();
    m_setting->addItem(tr("all link settings"), QVariant::fromValue<qlonglong>(0));
    for (const session::LinkSetting& setting : m_document.session().settings) {
        m_setting->addItem(
            QString::fromStdString(setting.name), QVariant::fromValue<qlonglong>(setting.id.value));
    }
    m_setting->setCurrentIndex(std::max(0, m_setting->findData(before)));
    m_filling = false;
}

report::ReadoutCheckOptions ReadoutPage::options() const
{
    return {static_cast<report::PairsOf>(m_of->currentData().toInt()),
        {m_setting->currentData().toLongLong()}};
}

void ReadoutPage::ask()
{
    m_isStale = true;
    if (isVisible()) {
        m_delay->start();
    }
}

void ReadoutPage::showEvent(QShowEvent* event)
{
    QWidget::showEvent(event);
    if (m_isStale) {
        ask();
    }
}

void ReadoutPage::start()
{
    if (m_table->isTyping()) {
        m_delay->start();
        return;
    }
    m_isStale = false;
    // The copy shares what was measured; the session may change meanwhile.
    m_runner.start<ReadoutAnswer>(
        [session = m_document.session(), options = options()](const JobControl&)
            -> JobResult<ReadoutAnswer> { return readoutAnswer(session, options); },
        [this](JobResult<ReadoutAnswer>&& outcome) {
            if (outcome.hasValue()) {
                take(std::move(outcome).value());
            }
        });
}

void ReadoutPage::take(ReadoutAnswer answer)
{
    if (m_table->isTyping()) { // begun meanwhile
        ask();
        return;
    }
    m_answer = std::move(answer);
    showRows();
    m_verdict->setWords(readoutVerdict(m_answer->check));
    m_chart->setCheck(m_answer->check);
    FigureLines lines = readoutTable(m_answer->check);
    m_figures->setTable(lines.columns, std::move(lines.rows));
    m_figures->setVisible(m_answer->check.agreement.has_value());
    m_words->setSentences(readoutWords(m_answer->check));
    Q_EMIT answered();
}

/// The line in hand stays in hand where others come or go.
void ReadoutPage::showRows()
{
    const auto& before = m_model->rows();
    const auto row = static_cast<std::size_t>(m_table->currentIndex().row());
    const std::optional<ReadoutRow> inHand
        = row < before.size() ? std::optional(before[row]) : std::nullopt;
    m_model->setRows(m_answer->options.of, m_answer->rows);
    if (!inHand || m_table->currentIndex().isValid()) {
        return;
    }
    const auto& rows = m_model->rows();
    const auto found = std::ranges::find_if(rows, [&](const ReadoutRow& other) {
        return other.setting == inHand->setting && other.press == inHand->press;
    });
    if (found != rows.end()) {
        m_table->goTo(static_cast<int>(found - rows.begin()));
    }
}

void ReadoutPage::type(int row, const std::vector<double>& typedMs)
{
    tell({});
    m_document.push(
        readoutEdit(m_document.session(), m_model->rows()[static_cast<std::size_t>(row)], typedMs));
}

/// All of the column or nothing, as one step.
void ReadoutPage::paste(int row, const QStringList& texts)
{
    if (m_document.isReadOnly()) {
        return;
    }
    session::EditChain chain(m_document.session());
    const auto& rows = m_model->rows();
    if (static_cast<std::size_t>(row + texts.size()) > rows.size()) {
        tell(tr("Nothing was pasted: %1 lines were copied, and from the line in hand on there are "
                "%2.")
                 .arg(texts.size())
                 .arg(rows.size() - static_cast<std::size_t>(row)));
        return;
    }
    for (const QString& text : texts) {
        const auto typed = readoutsIn(text, m_model->of());
        if (!typed) {
            tell(tr("Nothing was pasted: '%1' is no latency in ms above 0.").arg(text.trimmed()));
            return;
        }
        const auto added = chain.add(
            readoutEdit(chain.session(), rows[static_cast<std::size_t>(row++)], *typed));
        if (!added) {
            tell(QString::fromStdString(added.error().detail));
            return;
        }
    }
    session::Edit edit = chain.edit();
    edit.label = {
        "edit-set-readouts", {rows[static_cast<std::size_t>(row - 1)].names.front().toStdString()}};
    m_document.push(std::move(edit));
    tell({});
}

void ReadoutPage::goToPair(int pair)
{
    const report::NamedPair& named = m_answer->check.pairs[static_cast<std::size_t>(pair)];
    const QString setting = QString::fromStdString(named.setting);
    const QString clip = QString::fromStdString(named.clip);
    const QString press = QString::number(named.press);
    const auto& rows = m_model->rows();
    const auto found = std::ranges::find_if(rows, [&](const ReadoutRow& row) {
        return row.names.front() == setting
            && (named.press == 0 || (row.names.value(2) == clip && row.names.value(3) == press));
    });
    if (found != rows.end()) {
        m_table->goTo(static_cast<int>(found - rows.begin()));
        m_table->setFocus();
    }
}

void ReadoutPage::stop()
{
    m_delay->stop();
    m_runner.drop();
    m_isStale = true;
    keep();
}

void ReadoutPage::keep() const
{
    QSettings kept;
    kept.setValue(ofKey, m_of->currentIndex());
    kept.setValue(splitterKey, m_splitter->saveState());
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/models/comparison_words.h"
#include "ui/pages/compare_page.h"
#include "ui/plots/latency_chart.h"
#include "ui/widgets/empty_state.h"
#include "ui/widgets/figure_table.h"
#include "ui/widgets/sentence_list.h"
#include "ui/widgets/verdict_card.h"

#include <QComboBox>
#include <QDoubleSpinBox>
#include <QLabel>
#include <QSettings>
#include <QSplitter>
#include <QStackedWidget>
#include <QTimer>
#include <QToolButton>

#include <utility>

namespace twinlamp::ui {

namespace {

constexpr QLatin1String sessionKey("compare/session");
constexpr QLatin1String aKey("compare/a");
constexpr QLatin1String bKey("compare/b");
constexpr QLatin1String figureKey("compare/figure");
constexpr QLatin1String marginKey("compare/margin");
constexpr QLatin1String splitterKey("compare/splitter");

session::SettingId idIn(const QComboBox& choice) { return {choice.currentData().toLongLong()}; }

void pickIn(QComboBox& choice, session::SettingId id)
{
    const int row = choice.findData(QVariant::fromValue<qlonglong>(id.value));
    if (row >= 0) {
        choice.setCurrentIndex(row);
    }
}

} // namespace

std::optional<report::SettingPair> ComparePage::picked() const
{
    const report::SettingPair pair {idIn(*m_a), idIn(*m_b)};
    const session::Session& session = m_document.session();
    const bool isThere = session::find(session, pair.a) != nullptr
        && (!pair.b || session::find(session, pair.b) != nullptr);
    return isThere && pair.a != pair.b ? std::optional(pair) : std::nullopt;
}

void ComparePage::pick(session::SettingId a, session::SettingId b)
{
    m_filling = true;
    pickIn(*m_a, a);
    pickIn(*m_b, b);
    m_filling = false;
    keep();
    ask();
}

bool ComparePage::isWorking() const { return m_runner.isRunning() || m_delay->isActive(); }

void ComparePage::stop()
{
    m_delay->stop();
    m_runner.drop();
    m_isStale = true;
    keep();
}

/// The choices of the last time, where they belong to the session that is open.
void ComparePage::restore()
{
    const QSettings kept;
    m_figure->setCurrentIndex(kept.value(figureKey, 0).toInt() == 1 ? 1 : 0);
    m_margin->setValue(kept.value(marginKey, 0.0).toDouble());
    const auto path = QString::fromStdString(m_document.path().string());
    const session::Session& session = m_document.session();
    for (int i = 0; i < 2; ++i) {
        QComboBox& choice = i == 0 ? *m_a : *m_b;
        const QString name = kept.value(i == 0 ? aKey : bKey).toString();
        const auto* found = session::findSetting(session, name.toStdString());
        if (kept.value(sessionKey).toString() == path && found != nullptr) {
            pickIn(choice, found->id);
        } else if (i < m_a->count()) {
            choice.setCurrentIndex(2 * i); // B's first row is none
        }
    }
}

void ComparePage::keep() const
{
    QSettings kept;
    kept.setValue(splitterKey, m_splitter->saveState());
    kept.setValue(figureKey, m_figure->currentIndex());
    kept.setValue(marginKey, m_margin->value());
    if (picked()) {
        kept.setValue(sessionKey, QString::fromStdString(m_document.path().string()));
        kept.setValue(aKey, m_a->currentText());
        kept.setValue(bKey, m_b->currentText());
    }
}

void ComparePage::onSessionChanged()
{
    m_filling = true;
    fillChoices();
    showLimit();
    m_filling = false;
    const QString bring = whatToBring();
    m_empty->setText(bring);
    m_stack->setCurrentIndex(bring.isEmpty() ? 1 : 0);
    ask();
}

QString ComparePage::whatToBring() const
{
    if (!m_document.isOpen()) {
        return tr(
            "Open a session whose link settings were measured, or drop clips of the lamp pair "
            "on the window: those of one link setting first, then those of the other. Three "
            "runs of each, the link restarted in between, can tell which is faster, which is "
            "steadier and which is less often late.");
    }
    if (m_document.session().settings.empty()) {
        return tr("Add a link setting on the Bench page and drop its clips there. A comparison "
                  "needs two with three runs each, the link restarted in between.");
    }
    return {};
}

void ComparePage::fillChoices()
{
    const session::Session& session = m_document.session();
    const bool isFirst = m_a->count() == 0 || !picked();
    for (QComboBox* choice : {m_a, m_b}) {
        const session::SettingId before = idIn(*choice);
        choice->clear();
        if (choice == m_b) {
            choice->addItem(tr("none: A alone"), QVariant::fromValue<qlonglong>(0));
        }
        for (const session::LinkSetting& setting : session.settings) {
            choice->addItem(QString::fromStdString(setting.name),
                QVariant::fromValue<qlonglong>(setting.id.value));
        }
        pickIn(*choice, before);
    }
    if (isFirst) {
        restore();
    }
    if (!picked()) {
        m_b->setCurrentIndex(0);
    }
}

void ComparePage::showLimit()
{
    const auto& limit = m_document.session().lateLimit;
    m_limit->setValue(limit ? toMs(*limit) : 0.0);
    m_limit->setEnabled(m_document.isOpen() && !m_document.isReadOnly());
}

/// The limit is the session's, so that every page and the report hold presses to the same one.
void ComparePage::takeLimit()
{
    if (m_filling) {
        return;
    }
    session::SessionInfo info = session::infoOf(m_document.session());
    info.lateLimit
        = m_limit->value() > 0.0 ? std::optional(latencyFromMs(m_limit->value())) : std::nullopt;
    m_document.push(
        session::changeInfo(m_document.session(), std::move(info)), Joining::SameGesture);
}

void ComparePage::swap()
{
    const session::SettingId a = idIn(*m_a);
    pick(idIn(*m_b), a);
}

void ComparePage::ask()
{
    m_isStale = true;
    if (!picked()) {
        m_runner.drop();
        m_delay->stop();
        const bool same = m_a->count() > 1 && idIn(*m_a) == idIn(*m_b);
        if (same) {
            m_answer.reset();
            m_verdicts[0]->setWords({tr("Which is faster?"), tr("One setting, twice"), false,
                {tr("Choose another link setting as A or B.")}, {}});
            m_verdicts[1]->setWords({});
            m_verdicts[2]->setWords({});
        }
        return;
    }
    if (isVisible()) {
        m_delay->start();
    }
}

void ComparePage::showEvent(QShowEvent* event)
{
    QWidget::showEvent(event);
    if (m_isStale) {
        ask();
    }
}

ComparisonQuestion ComparePage::question(const report::SettingPair& pair) const
{
    ComparisonQuestion question {pair, {}};
    question.options.figure = static_cast<stats::Figure>(m_figure->currentData().toInt());
    if (m_margin->value() > 0.0) {
        question.options.marginMs = m_margin->value();
    }
    return question;
}

void ComparePage::start()
{
    const auto pair = picked();
    if (!pair) {
        return;
    }
    m_isStale = false;
    // The copy shares what was measured; the session may change meanwhile.
    m_runner.start<ComparisonAnswer>(
        [session = m_document.session(), asked = question(*pair)](
            const JobControl& control) { return answerTo(session, asked, control); },
        [this](JobResult<ComparisonAnswer>&& outcome) {
            if (outcome.hasValue()) {
                take(std::move(outcome).value());
            }
        });
}

void ComparePage::take(ComparisonAnswer answer)
{
    m_answer = std::move(answer);
    showAnswer();
    Q_EMIT answered();
}

void ComparePage::showAnswer()
{
    m_chart->setData(m_answer->chart);
    m_binRule->setText(m_chart->binRule());
    m_swap->setEnabled(m_answer->comparison.has_value());
    m_margin->setEnabled(m_answer->comparison.has_value());
    if (m_answer->comparison) {
        showComparison(*m_answer->comparison);
    } else if (m_answer->alone) {
        showAlone(*m_answer->alone);
    }
    showRanking();
}

void ComparePage::showComparison(const report::SettingComparison& comparison)
{
    const std::vector<VerdictWords> verdicts = verdictWords(comparison);
    for (std::size_t i = 0; i < m_verdicts.size(); ++i) {
        m_verdicts.at(i)->setWords(verdicts[i]);
    }
    FigureLines figures = comparedFigures(comparison);
    m_figures->setTable(figures.columns, std::move(figures.rows));
    FigureLines each = settingFiguresTable(comparison);
    m_each->setTable(each.columns, std::move(each.rows));
    m_fair->setSentences(fairWords(comparison));
    m_conditions->setSentences(conditionWords(comparison));
    m_rest->setSentences(restWords(comparison));
}

void ComparePage::showAlone(const report::SettingAccount& account)
{
    const std::vector<VerdictWords> verdicts = accountVerdicts(account);
    for (std::size_t i = 0; i < m_verdicts.size(); ++i) {
        m_verdicts.at(i)->setWords(verdicts[i]);
    }
    FigureLines figures = accountTable(account);
    m_figures->setTable(figures.columns, std::move(figures.rows));
    FigureLines clips = accountClipsTable(account);
    m_each->setTable(clips.columns, std::move(clips.rows));
    m_fair->setSentences({});
    m_conditions->setSentences({});
    m_rest->setSentences(accountWords(account));
}

void ComparePage::showRanking()
{
    const auto& ranking = m_answer->ranking;
    m_ranking->setVisible(ranking.has_value());
    QStringList words;
    if (ranking) {
        FigureLines lines = rankingTable(*ranking);
        m_ranking->setTable(lines.columns, std::move(lines.rows));
        for (const Sentence& sentence : ranking->sentences) {
            if (sentence.id != "ranking-order") { // the table says it
                words << sentenceText(sentence);
            }
        }
    }
    m_rankingWords->setSentences(words);
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/plan_panel.h"

#include "core/stats/summary.h"
#include "ui/models/setting_figures.h"
#include "ui/theme/theme.h"
#include "ui/widgets/figures.h"
#include "ui/widgets/flow_layout.h"
#include "ui/widgets/marking.h"
#include "ui/widgets/sentence_list.h"

#include <QComboBox>
#include <QDoubleSpinBox>
#include <QHBoxLayout>
#include <QLabel>
#include <QSettings>
#include <QVBoxLayout>

#include <cmath>

namespace twinlamp::ui {

namespace {

constexpr int numberWidth = 84;
constexpr double percent = 100.0;
constexpr QLatin1String sourceKey("reckon/spread-of");
constexpr QLatin1String sidesKey("reckon/sides");
constexpr QLatin1String centreKey("reckon/centre");

QString keyOf(const QString& key) { return QStringLiteral("reckon/plan/") % key; }

} // namespace

PlanPanel::PlanPanel(QWidget* parent)
    : QWidget(parent)
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(16, 8, 16, 16);
    column->setSpacing(4);
    build(column);
    restore();
    const auto reckonAnew = [this] {
        if (!m_filling) {
            reckon();
            keep();
        }
    };
    for (const Kept& number : m_numbers) {
        connect(number.field, &QDoubleSpinBox::valueChanged, this, reckonAnew);
    }
    for (QComboBox* choice : {m_sides, m_centre}) {
        connect(choice, &QComboBox::currentIndexChanged, this, reckonAnew);
    }
    connect(m_source, &QComboBox::currentIndexChanged, this, [this] {
        if (!m_filling) {
            m_wantedSource = m_source->currentIndex() > 0 ? m_source->currentText() : QString();
            takeSource();
            reckon();
            keep();
        }
    });
    setSession({});
}

QDoubleSpinBox* PlanPanel::addNumber(const QString& key, double value, double least, double most,
    const QString& unit, const QString& toolTip)
{
    auto* field = new QDoubleSpinBox;
    const bool isWhole = unit.isEmpty();
    field->setDecimals(isWhole ? 0 : unit == QLatin1String("%") ? 1 : 2);
    field->setRange(least, most);
    field->setValue(value);
    field->setSuffix(isWhole ? QString() : QLatin1Char(' ') % unit);
    field->setButtonSymbols(QAbstractSpinBox::NoButtons);
    field->setStepType(QAbstractSpinBox::AdaptiveDecimalStepType);
    field->setFixedWidth(numberWidth);
    field->setToolTip(toolTip);
    field->setAccessibleName(toolTip);
    m_numbers.push_back({key, field});
    return field;
}

void PlanPanel::buildSource(QVBoxLayout* column)
{
    m_source = new QComboBox;
    m_source->setAccessibleName(tr("Where the spread comes from"));
    m_source->setToolTip(tr("The standard deviation of the latencies, of a setting that was "
                            "measured or as typed"));
    m_source->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
    m_source->setMinimumContentsLength(8);
    m_sd = addNumber(QStringLiteral("sd"), 5.0, 0.01, 1000.0, tr("ms"),
        tr("Standard deviation of the latencies within a setting, ms"));
    m_confidence = addNumber(QStringLiteral("confidence"), 95.0, 50.0, 99.9, tr("%"),
        tr("How sure each claim is to be, %"));
    auto* row = new QHBoxLayout;
    row->setSpacing(6);
    row->addWidget(new QLabel(tr("Spread of")));
    row->addWidget(m_source, 1);
    row->addWidget(m_sd);
    column->addLayout(row);
    auto* sure = new QHBoxLayout;
    sure->setSpacing(6);
    sure->addWidget(new QLabel(tr("Each claim is to be sure to")));
    sure->addStretch();
    sure->addWidget(m_confidence);
    column->addLayout(sure);
}

void PlanPanel::addClaim(QVBoxLayout* column, std::size_t plan, const QString& heading,
    const std::vector<QWidget*>& words)
{
    column->addSpacing(8);
    column->addWidget(headingLabel(heading));
    auto* holder = new QWidget;
    auto* row = new FlowLayout(holder, 6);
    for (QWidget* word : words) {
        row->addWidget(word);
    }
    column->addWidget(holder);
    m_answers.at(plan) = new QLabel;
    m_answers.at(plan)->setFont(typeFont(TypeSize::Figure, true));
    m_answers.at(plan)->setTextInteractionFlags(Qt::TextSelectableByMouse);
    m_beside.at(plan) = quietLabel({});
    column->addWidget(m_answers.at(plan));
    column->addWidget(m_beside.at(plan));
}

void PlanPanel::build(QVBoxLayout* column)
{
    column->addWidget(headingLabel(tr("How many presses?")));
    buildSource(column);
    m_lateShare = addNumber(QStringLiteral("late-share"), 5.0, 0.1, 99.0, tr("%"),
        tr("Largest share of late presses that the claim allows, %"));
    m_lateSeen = addNumber(QStringLiteral("late-seen"), 0.0, 0.0, 1000.0, {},
        tr("Late or lost presses that may turn up"));
    addClaim(column, 0, tr("To claim that few are late"),
        {wordLabel(tr("at most")), m_lateShare, wordLabel(tr("late, though")), m_lateSeen,
            wordLabel(tr("turn up"))});
    m_coverage = addNumber(QStringLiteral("coverage"), 95.0, 1.0, 99.9, tr("%"),
        tr("Share of all latencies that the limits are to hold, %"));
    m_sides = new QComboBox;
    m_sides->addItems({tr("below the slowest press"), tr("between fastest and slowest")});
    m_sides->setAccessibleName(tr("One limit or two"));
    m_sides->setToolTip(tr("The largest press as upper limit, or the smallest and the largest"));
    addClaim(column, 1, tr("To give limits"), {m_coverage, wordLabel(tr("of all lie")), m_sides});
    m_centre = new QComboBox;
    m_centre->addItems({tr("median"), tr("mean")});
    m_centre->setAccessibleName(tr("Median or mean"));
    m_centre->setToolTip(tr("Which figure is to be known so closely"));
    m_halfWidth = addNumber(QStringLiteral("half-width"), 1.0, 0.01, 1000.0, tr("ms"),
        tr("Half width of the interval, ms"));
    addClaim(
        column, 2, tr("To know a figure closely"), {m_centre, wordLabel(plusMinus), m_halfWidth});
    m_difference = addNumber(QStringLiteral("difference"), 3.0, 0.01, 1000.0, tr("ms"),
        tr("Difference of two settings that is to be told, ms"));
    m_power = addNumber(
        QStringLiteral("power"), 80.0, 50.0, 99.9, tr("%"), tr("Chance of telling it, %"));
    addClaim(column, 3, tr("To tell two settings apart"),
        {m_difference, wordLabel(tr("apart, told with a chance of")), m_power});
    column->addSpacing(8);
    m_assumptions = new SentenceList(tr("Taken for granted"));
    column->addWidget(m_assumptions);
    column->addStretch(1);
}

void PlanPanel::restore()
{
    m_filling = true;
    const QSettings kept;
    for (const Kept& number : m_numbers) {
        const QVariant value = kept.value(keyOf(number.key));
        if (value.isValid()) {
            number.field->setValue(value.toDouble());
        }
    }
    m_sides->setCurrentIndex(kept.value(sidesKey, 0).toInt() == 1 ? 1 : 0);
    m_centre->setCurrentIndex(kept.value(centreKey, 0).toInt() == 1 ? 1 : 0);
    m_wantedSource = kept.value(sourceKey).toString();
    m_filling = false;
}

void PlanPanel::keep() const
{
    QSettings kept;
    for (const Kept& number : m_numbers) {
        kept.setValue(keyOf(number.key), number.field->value());
    }
    kept.setValue(sidesKey, m_sides->currentIndex());
    kept.setValue(centreKey, m_centre->currentIndex());
    kept.setValue(sourceKey, m_wantedSource);
}

void PlanPanel::setSession(const session::Session& session)
{
    m_filling = true;
    m_sources.clear();
    m_source->clear();
    m_source->addItem(tr("as typed"));
    const std::vector<SettingFigures> figures = settingFigures(session);
    for (std::size_t i = 0; i < figures.size(); ++i) {
        const stats::Summary& summary = figures[i].summary;
        if (!summary.sdMs || *summary.sdMs <= 0.0) {
            continue;
        }
        m_sources.push_back({QString::fromStdString(session.settings[i].name), *summary.sdMs,
            {summary.n + summary.noResponse, summary.runs}});
        m_source->addItem(m_sources.back().name);
    }
    const int wanted = m_source->findText(m_wantedSource);
    if (wanted > 0) {
        m_source->setCurrentIndex(wanted);
    } else if (!m_sources.empty() && m_wantedSource.isEmpty()) {
        m_source->setCurrentIndex(1); // the session's own spread before a made-up one
    }
    m_filling = false;
    takeSource();
    reckon();
}

void PlanPanel::takeSource()
{
    const int at = m_source->currentIndex() - 1;
    m_sd->setEnabled(at < 0);
    if (at >= 0) {
        m_filling = true;
        m_sd->setValue(m_sources[static_cast<std::size_t>(at)].sdMs);
        m_filling = false;
    }
}

PlanQuestions PlanPanel::questions() const
{
    PlanQuestions asked;
    asked.confidence = m_confidence->value() / percent;
    asked.sdMs = m_sd->value();
    asked.lateShare = m_lateShare->value() / percent;
    asked.lateSeen = std::llround(m_lateSeen->value());
    asked.coverage = m_coverage->value() / percent;
    asked.twoSided = m_sides->currentIndex() == 1;
    asked.halfWidthMs = m_halfWidth->value();
    asked.centre = m_centre->currentIndex() == 1 ? stats::Centre::Mean : stats::Centre::Median;
    asked.differenceMs = m_difference->value();
    asked.power = m_power->value() / percent;
    return asked;
}

QString PlanPanel::answer(std::size_t plan) const { return m_answers.at(plan)->text(); }

void PlanPanel::reckon()
{
    const int at = m_source->currentIndex() - 1;
    const auto made
        = at >= 0 ? std::optional(m_sources[static_cast<std::size_t>(at)].made) : std::nullopt;
    const PlanAnswers answers = planAnswers(questions(), made);
    for (std::size_t plan = 0; plan < planCount; ++plan) {
        m_answers.at(plan)->setText(answers.plans.at(plan).answer);
        m_beside.at(plan)->setText(answers.plans.at(plan).beside);
    }
    m_assumptions->setSentences(answers.assumptions);
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/press_panel.h"

#include "core/session/entry_fields.h"
#include "ui/models/press_table_model.h"
#include "ui/theme/theme.h"
#include "ui/widgets/figures.h"
#include "ui/widgets/latency_budget.h"
#include "ui/widgets/marking.h"

#include <QGridLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QToolButton>
#include <QVBoxLayout>

#include <cmath>

namespace twinlamp::ui {

PressPanel::PressPanel(QWidget* parent)
    : QWidget(parent)
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(4);
    column->addWidget(headingLabel(tr("This press")));
    m_empty = quietLabel(tr("Pick a press on the scrub bar, in the traces or in the table."));
    column->addWidget(m_empty);
    m_body = new QWidget;
    column->addWidget(m_body);
    auto* body = new QVBoxLayout(m_body);
    body->setContentsMargins(0, 0, 0, 0);
    body->setSpacing(4);
    m_edge = quietLabel({});
    m_figure = new QLabel;
    m_figure->setFont(typeFont(TypeSize::Figure, true));
    m_figure->setTextInteractionFlags(Qt::TextSelectableByMouse);
    m_fullFrame = new QLabel;
    m_budget = new LatencyBudget;
    m_doubts = new QLabel;
    m_doubts->setWordWrap(true);
    m_doubts->setFont(typeFont(TypeSize::Small));
    body->addWidget(m_edge);
    body->addWidget(m_figure);
    body->addWidget(m_fullFrame);
    body->addWidget(m_budget);
    auto* grid = new QGridLayout;
    grid->setContentsMargins(0, 4, 0, 0);
    grid->setHorizontalSpacing(4);
    grid->setVerticalSpacing(4);
    m_onset = addMarkField(grid, 0, session::Mark::Onset, tr("onset"));
    m_firstLight = addMarkField(grid, 1, session::Mark::FirstLight, tr("first light"));
    addReadoutField(grid, 2);
    body->addLayout(grid);
    body->addWidget(m_doubts);
    m_accept = new QPushButton;
    connect(m_accept, &QPushButton::clicked, this, [this] {
        if (m_press && m_press->press.accepted) {
            Q_EMIT setAsideAsked();
        } else {
            Q_EMIT acceptAsked();
        }
    });
    body->addWidget(m_accept);
    setPress(std::nullopt);
}

PressPanel::MarkField PressPanel::addMarkField(
    QGridLayout* grid, int row, session::Mark mark, const QString& name)
{
    MarkField field;
    field.mark = mark;
    auto* label = new QLabel(name);
    label->setFont(typeFont(TypeSize::Small));
    field.edit = new QLineEdit;
    field.edit->setAlignment(Qt::AlignRight);
    field.edit->setMinimumWidth(40);
    field.edit->setAccessibleName(tr("%1 in ms of real time").arg(name));
    field.edit->setToolTip(
        tr("Real time in ms. Type another to correct the mark; the measured one is kept."));
    field.reset = new QToolButton;
    field.reset->setIcon(themeIcon(QStringLiteral("undo")));
    auto* unit = new QLabel(QStringLiteral("ms"));
    label->setBuddy(field.edit);
    grid->addWidget(label, row, 0);
    grid->addWidget(field.edit, row, 1);
    grid->addWidget(unit, row, 2);
    grid->addWidget(field.reset, row, 3);
    grid->setColumnStretch(1, 1);
    connect(field.edit, &QLineEdit::editingFinished, this, [this, field] { onTyped(field); });
    connect(field.edit, &QLineEdit::textEdited, this, [field] { markWrong(field.edit, false); });
    connect(
        field.reset, &QToolButton::clicked, this, [this, field] { Q_EMIT markReset(field.mark); });
    return field;
}

void PressPanel::addReadoutField(QGridLayout* grid, int row)
{
    auto* label = new QLabel(tr("goggle says"));
    label->setFont(typeFont(TypeSize::Small));
    m_readout = new QLineEdit;
    m_readout->setAlignment(Qt::AlignRight);
    m_readout->setMinimumWidth(40);
    m_readout->setAccessibleName(tr("Latency that the goggle displayed, in ms"));
    m_readout->setToolTip(
        tr("Latency in ms that the goggle displayed about itself at this press, if it does. The "
           "Readout page holds it against the measured one."));
    label->setBuddy(m_readout);
    grid->addWidget(label, row, 0);
    grid->addWidget(m_readout, row, 1);
    grid->addWidget(new QLabel(QStringLiteral("ms")), row, 2);
    connect(m_readout, &QLineEdit::editingFinished, this, &PressPanel::onReadoutTyped);
    connect(m_readout, &QLineEdit::textEdited, this, [this] { markWrong(m_readout, false); });
}

void PressPanel::onReadoutTyped()
{
    if (!m_readout->isModified() || !m_press) {
        return;
    }
    const QString text = m_readout->text().trimmed();
    const auto typed = numberIn(text);
    if (!text.isEmpty() && (!typed || !std::isfinite(*typed) || *typed <= 0.0)) {
        markWrong(m_readout, tr("A latency in ms above 0, for example 31.5, or nothing"));
        return;
    }
    m_readout->setModified(false);
    Q_EMIT readoutTyped(typed);
}

void PressPanel::setEditable(bool editable)
{
    m_editable = editable;
    setPress(m_press, m_readoutMs);
}

void PressPanel::setPress(
    const std::optional<session::EffectivePress>& press, std::optional<double> readoutMs)
{
    m_press = press;
    m_readoutMs = readoutMs;
    m_empty->setVisible(!press);
    m_body->setVisible(press.has_value());
    if (!press) {
        return;
    }
    const Press& p = press->press;
    m_edge->setText(tr("press %1, lamps switched %2").arg(p.index + 1).arg(edgeText(p.edge)));
    m_figure->setText(p.latency ? latencyText(*p.latency, p.uncertainty) : tr("no latency"));
    m_fullFrame->setText(p.fullFrameLatency
            ? tr("full frame after %1").arg(msText(toMs(*p.fullFrameLatency), 1))
            : QString());
    m_fullFrame->setVisible(p.fullFrameLatency.has_value());
    m_budget->setBars(budgetOf(p));
    fillField(m_onset, p.reference, press->measured.reference);
    fillField(m_firstLight, p.firstLight, press->measured.firstLight);
    markWrong(m_readout, false);
    m_readout->setEnabled(m_editable && p.edge == Edge::On); // off edges are never paired
    if (!m_readout->hasFocus() || !m_readout->isModified()) {
        m_readout->setText(
            readoutMs ? QString::fromStdString(session::shortestText(*readoutMs)) : QString());
        m_readout->setModified(false);
    }
    QStringList doubts;
    if (!p.accepted) {
        doubts << tr("Set aside: %1.").arg(reasonText(*press));
    }
    for (const Flag flag : p.flags) {
        const std::string_view sentence = flagSentence(flag);
        doubts << QString::fromUtf8(sentence.data(), static_cast<qsizetype>(sentence.size()));
    }
    m_doubts->setText(doubts.isEmpty() ? tr("No doubts.") : doubts.join(QStringLiteral("\n")));
    m_accept->setText(p.accepted ? tr("Set aside…") : tr("Accept this press"));
    m_accept->setEnabled(m_editable);
}

void PressPanel::fillField(
    const MarkField& field, std::optional<RealTime> counted, std::optional<RealTime> measured)
{
    markWrong(field.edit, false);
    field.edit->setEnabled(m_editable && counted);
    if (!field.edit->hasFocus() || !field.edit->isModified()) {
        field.edit->setText(counted ? QString::number(toMs(*counted), 'f', 3) : QString());
        field.edit->setModified(false);
    }
    const bool moved = counted != measured;
    field.reset->setVisible(moved);
    field.reset->setEnabled(m_editable);
    field.reset->setToolTip(measured
            ? tr("Back to the measured place, %1 ms").arg(toMs(*measured), 0, 'f', 3)
            : tr("Take the mark away again: none was measured"));
    field.reset->setAccessibleName(field.reset->toolTip());
}

void PressPanel::onTyped(const MarkField& field)
{
    if (!field.edit->isModified() || !m_press) {
        return;
    }
    QString text = field.edit->text().trimmed();
    text.replace(QLatin1Char(','), QLatin1Char('.'));
    bool isNumber = false;
    const double ms = text.toDouble(&isNumber);
    if (!isNumber) {
        markWrong(field.edit, tr("Real time in ms, for example 240.5"));
        return;
    }
    field.edit->setModified(false);
    Q_EMIT markTyped(field.mark, realTimeFromMs(ms));
}

} // namespace twinlamp::ui

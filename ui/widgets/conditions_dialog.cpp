// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/conditions_dialog.h"

#include "ui/widgets/figures.h"
#include "ui/widgets/marking.h"

#include <QDialogButtonBox>
#include <QFormLayout>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QRegularExpression>
#include <QVBoxLayout>

namespace twinlamp::ui {

ConditionsDialog::ConditionsDialog(const session::LinkSetting& setting, QWidget* parent)
    : QDialog(parent)
    , m_conditions(setting.conditions)
{
    using session::Conditions;
    setWindowTitle(tr("Conditions of %1").arg(QString::fromStdString(setting.name)));
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(24, 16, 24, 16);
    column->setSpacing(12);
    column->addWidget(quietLabel(
        tr("What the link was set to. What you leave empty is left out of the report; the "
           "link camera's frame rate is needed for the link spread.")));
    auto* halves = new QHBoxLayout;
    halves->setSpacing(24);
    auto* left = new QFormLayout;
    auto* right = new QFormLayout;
    for (QFormLayout* half : {left, right}) {
        half->setVerticalSpacing(6);
    }
    halves->addLayout(left);
    halves->addLayout(right);
    column->addLayout(halves);
    addText(left, tr("Link camera"), &Conditions::linkCamera, {});
    addRate(left);
    addNumber(left, tr("Its exposure"), &Conditions::linkExposureMs, tr("ms"));
    addSize(left);
    addNumber(left, tr("Bit rate"), &Conditions::bitRateMbit, tr("Mbit/s"));
    addNumber(left, tr("Channel"), &Conditions::channelMhz, tr("MHz"));
    addNumber(left, tr("Channel width"), &Conditions::channelWidthMhz, tr("MHz"));
    addNumber(left, tr("Output power"), &Conditions::outputPowerMw, tr("mW"));
    addNumber(left, tr("Distance"), &Conditions::distanceM, tr("m"));
    addNumber(left, tr("Attenuation"), &Conditions::attenuationDb, tr("dB"));
    addText(right, tr("Interference"), &Conditions::interference, tr("two other links on air"));
    addText(right, tr("Goggle"), &Conditions::goggle, {});
    addNumber(right, tr("Its brightness"), &Conditions::brightnessPercent, tr("%"));
    addNumber(right, tr("Panel rate"), &Conditions::panelRateHz, tr("Hz"));
    addText(right, tr("Lamp on the panel"), &Conditions::lampPlace, tr("middle, left third"));
    addNumber(right, tr("Warm-up"), &Conditions::warmUpMinutes, tr("min"));
    addText(right, tr("Antenna"), &Conditions::antenna, {});
    addText(right, tr("Firmware"), &Conditions::firmware, {});
    addText(right, tr("Notes"), &Conditions::notes, {});
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Cancel);
    auto* keep = buttons->addButton(tr("Keep these conditions"), QDialogButtonBox::AcceptRole);
    makePrimary(keep);
    connect(buttons, &QDialogButtonBox::accepted, this, &ConditionsDialog::accept);
    connect(buttons, &QDialogButtonBox::rejected, this, &ConditionsDialog::reject);
    column->addWidget(buttons);
    column->addStretch();
}

void ConditionsDialog::add(
    QFormLayout* form, const QString& label, const QString& text, const QString& hint, Read read)
{
    auto* edit = new QLineEdit(text);
    edit->setPlaceholderText(hint);
    edit->setMinimumWidth(fontMetrics().averageCharWidth() * 22);
    connect(edit, &QLineEdit::textEdited, this, [edit] { markWrong(edit, false); });
    form->addRow(label, edit);
    m_fields.push_back({edit, std::move(read)});
}

void ConditionsDialog::addText(QFormLayout* form, const QString& label,
    std::string session::Conditions::*member, const QString& example)
{
    add(form, label, QString::fromStdString(m_conditions.*member), example,
        [member](const QString& text, session::Conditions& conditions) {
            conditions.*member = text.trimmed().toStdString();
            return true;
        });
}

void ConditionsDialog::addNumber(QFormLayout* form, const QString& label,
    std::optional<double> session::Conditions::*member, const QString& unit)
{
    const std::optional<double>& value = m_conditions.*member;
    add(form, label, value ? rateText(*value) : QString(), unit,
        [member](const QString& text, session::Conditions& conditions) {
            QString number = text.trimmed();
            if (number.isEmpty()) {
                conditions.*member = std::nullopt;
                return true;
            }
            number.replace(QLatin1Char(','), QLatin1Char('.'));
            bool isNumber = false;
            const double read = number.toDouble(&isNumber);
            if (isNumber && read >= 0.0) {
                conditions.*member = read;
                return true;
            }
            return false;
        });
}

void ConditionsDialog::addSize(QFormLayout* form)
{
    const QString text = m_conditions.widthPx && m_conditions.heightPx
        ? QStringLiteral("%1 x %2").arg(*m_conditions.widthPx).arg(*m_conditions.heightPx)
        : QString();
    add(form, tr("Picture sent"), text, tr("1280 x 720"),
        [](const QString& typed, session::Conditions& conditions) {
            static const QRegularExpression twoNumbers(
                QStringLiteral(R"(^\s*(\d{1,5})\s*[x×*]\s*(\d{1,5})\s*$)"),
                QRegularExpression::CaseInsensitiveOption);
            const auto match = twoNumbers.match(typed);
            if (!match.hasMatch() && !typed.trimmed().isEmpty()) {
                return false;
            }
            conditions.widthPx
                = match.hasMatch() ? std::optional(match.captured(1).toInt()) : std::nullopt;
            conditions.heightPx
                = match.hasMatch() ? std::optional(match.captured(2).toInt()) : std::nullopt;
            return true;
        });
}

void ConditionsDialog::addRate(QFormLayout* form)
{
    const auto& rate = m_conditions.linkFrameRate;
    add(form, tr("Its frame rate"), rate ? QString::fromStdString(toText(*rate)) : QString(),
        tr("frames/s"), [](const QString& typed, session::Conditions& conditions) {
            const QString text = typed.trimmed();
            conditions.linkFrameRate = parseFrameRate(text.toStdString());
            return text.isEmpty() || conditions.linkFrameRate.has_value();
        });
}

void ConditionsDialog::accept()
{
    session::Conditions conditions = m_conditions;
    bool understood = true;
    for (const Field& field : m_fields) {
        const bool taken = field.read(field.edit->text(), conditions);
        markWrong(field.edit, !taken);
        if (!taken && understood) {
            field.edit->setFocus();
            markWrong(field.edit,
                tr("A number is expected here (%1), or nothing")
                    .arg(field.edit->placeholderText()));
        }
        understood = understood && taken;
    }
    if (understood) {
        Q_EMIT conditionsChosen(conditions);
        QDialog::accept();
    }
}

} // namespace twinlamp::ui

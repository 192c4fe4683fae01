// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/radio_helper.h"

#include "core/link/channels.h"
#include "core/link/radio.h"
#include "ui/theme/theme.h"
#include "ui/widgets/figures.h"
#include "ui/widgets/flow_layout.h"
#include "ui/widgets/marking.h"

#include <QComboBox>
#include <QDoubleSpinBox>
#include <QLabel>
#include <QSignalBlocker>
#include <QVBoxLayout>

namespace twinlamp::ui {

namespace {

QDoubleSpinBox* number(double value, double least, double most, int decimals, const QString& unit,
    const QString& toolTip)
{
    constexpr int width = 92;
    auto* field = new QDoubleSpinBox;
    field->setDecimals(decimals);
    field->setRange(least, most);
    field->setValue(value);
    field->setSuffix(QLatin1Char(' ') % unit);
    field->setButtonSymbols(QAbstractSpinBox::NoButtons);
    field->setStepType(QAbstractSpinBox::AdaptiveDecimalStepType);
    field->setFixedWidth(width);
    field->setToolTip(toolTip);
    field->setAccessibleName(toolTip);
    return field;
}

QComboBox* channelChoice(const QString& name)
{
    auto* choice = new QComboBox;
    for (const link::RaceChannel& channel : link::raceChannels()) {
        choice->addItem(
            QString::fromLatin1(channel.name.data(), static_cast<qsizetype>(channel.name.size()))
                % u", " % numberText(channel.centreMhz, 0) % thinSpace % u"MHz",
            channel.centreMhz);
    }
    choice->setAccessibleName(name);
    choice->setToolTip(name);
    return choice;
}

QWidget* line(const std::vector<QWidget*>& parts)
{
    auto* holder = new QWidget;
    auto* row = new FlowLayout(holder, 6);
    for (QWidget* part : parts) {
        row->addWidget(part);
    }
    return holder;
}

} // namespace

RadioHelper::RadioHelper(QWidget* parent)
    : QWidget(parent)
    , m_one(channelChoice(tr("One race channel")))
    , m_other(channelChoice(tr("Another race channel")))
    , m_width(number(20.0, 1.0, 160.0, 0, tr("MHz"), tr("Width of each signal, MHz")))
    , m_power(number(100.0, 0.01, 10000.0, 2, tr("mW"), tr("Output power, mW")))
    , m_dbm(number(20.0, -20.0, 40.0, 2, tr("dBm"), tr("Output power, dBm")))
    , m_distance(number(100.0, 0.1, 50000.0, 1, tr("m"), tr("Free path, m")))
    , m_channels(quietLabel({}))
    , m_path(quietLabel({}))
{
    m_one->setCurrentIndex(2);
    m_other->setCurrentIndex(3);
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(4);
    column->addWidget(headingLabel(tr("Channels and power")));
    column->addWidget(line({m_one, wordLabel(tr("and")), m_other, m_width}));
    column->addWidget(m_channels);
    column->addWidget(
        line({m_power, wordLabel(QStringLiteral("=")), m_dbm, wordLabel(tr("over")), m_distance}));
    column->addWidget(m_path);
    column->addWidget(quietLabel(
        tr("Which channel, width and power may be used differs from place to place: follow the "
           "local radio rules. A transmitter needs its antenna and moving air.")));
    for (QComboBox* choice : {m_one, m_other}) {
        connect(choice, &QComboBox::currentIndexChanged, this, &RadioHelper::reckon);
    }
    for (QDoubleSpinBox* field : {m_width, m_distance}) {
        connect(field, &QDoubleSpinBox::valueChanged, this, &RadioHelper::reckon);
    }
    connect(m_power, &QDoubleSpinBox::valueChanged, this, [this](double milliwatt) {
        const QSignalBlocker still(m_dbm);
        m_dbm->setValue(link::dbmOf(milliwatt));
        reckon();
    });
    connect(m_dbm, &QDoubleSpinBox::valueChanged, this, [this](double dbm) {
        const QSignalBlocker still(m_power);
        m_power->setValue(link::milliwattOf(dbm));
        reckon();
    });
    reckon();
}

QString RadioHelper::answer() const { return m_channels->text() % u'\n' % m_path->text(); }

void RadioHelper::reckon()
{
    const auto& channels = link::raceChannels();
    const auto& one = channels.at(static_cast<std::size_t>(m_one->currentIndex()));
    const auto& other = channels.at(static_cast<std::size_t>(m_other->currentIndex()));
    const double apart = std::abs(one.centreMhz - other.centreMhz);
    const double overlap = link::overlapMhz(one, other, m_width->value());
    const QString between = overlap > 0.0
        ? tr("they overlap by %1 MHz").arg(numberText(overlap, 0))
        : tr("%1 MHz lie between them").arg(numberText(-overlap, 0));
    m_channels->setText(tr("Centres %1 MHz apart; %2.").arg(numberText(apart, 0), between));
    constexpr double metres = 1000.0;
    const link::Path path {one.centreMhz, m_distance->value() / metres};
    m_path->setText(
        tr("Free-space loss on the first channel %1 dB (ITU-R P.525: nothing in the way, far "
           "field), received %2 dBm without antenna gains; wavelength %3 mm.")
            .arg(numberText(link::freeSpaceLossDb(path), 1),
                numberText(link::receivedDbm({m_dbm->value(), 0.0}, path), 1),
                numberText(link::wavelengthMm(one.centreMhz), 1)));
}

} // namespace twinlamp::ui

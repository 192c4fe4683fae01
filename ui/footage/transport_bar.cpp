// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/transport_bar.h"

#include "ui/theme/theme.h"
#include "ui/widgets/figures.h"
#include "ui/widgets/marking.h"

#include <QComboBox>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QToolButton>

namespace twinlamp::ui {

TransportBar::TransportBar(QWidget* parent)
    : QWidget(parent)
{
    auto* row = new QHBoxLayout(this);
    row->setContentsMargins(8, 0, 8, 4);
    row->setSpacing(2);
    const auto pressBack
        = addButton(QStringLiteral("press-back"), tr("To the press before (Page Up)"));
    const auto stepBack = addButton(QStringLiteral("step-back"), tr("One frame back (Left)"));
    m_play = addButton(QStringLiteral("play"), tr("Play to the end (Space)"));
    const auto stepForward = addButton(QStringLiteral("step-forward"), tr("One frame on (Right)"));
    const auto pressForward
        = addButton(QStringLiteral("press-forward"), tr("To the next press (Page Down)"));
    stepBack->setAutoRepeat(true);
    stepForward->setAutoRepeat(true);
    connect(pressBack, &QToolButton::clicked, this, [this] { Q_EMIT pressStepAsked(false); });
    connect(pressForward, &QToolButton::clicked, this, [this] { Q_EMIT pressStepAsked(true); });
    connect(stepBack, &QToolButton::clicked, this, [this] { Q_EMIT stepAsked(-1); });
    connect(stepForward, &QToolButton::clicked, this, [this] { Q_EMIT stepAsked(1); });
    connect(m_play, &QToolButton::clicked, this, [this] { Q_EMIT playAsked(!m_playing); });

    m_speed = new QComboBox;
    m_speed->setAccessibleName(tr("Speed of playing"));
    m_speed->setToolTip(tr("Speed of playing"));
    connect(m_speed, &QComboBox::activated, this, [this] { Q_EMIT speedChosen(); });
    row->addSpacing(4);
    row->addWidget(m_speed);

    m_place = new QLineEdit;
    m_place->setPlaceholderText(tr("go to"));
    m_place->setFixedWidth(fontMetrics().horizontalAdvance(QStringLiteral("000000 ms")) + 12);
    m_place->setToolTip(tr("Go to a frame (1200) or a real time (1.2 s, 1200 ms)"));
    m_place->setAccessibleName(tr("Go to a frame or a time"));
    connect(m_place, &QLineEdit::returnPressed, this, &TransportBar::onPlaceTyped);
    connect(m_place, &QLineEdit::textEdited, this, [this] { markWrong(m_place, false); });
    row->addSpacing(4);
    row->addWidget(m_place);
    row->addStretch();

    m_frame = new QLabel;
    m_frame->setFont(typeFont(TypeSize::Base, true));
    m_times = new QLabel;
    m_rates = new QToolButton;
    m_rates->setToolTip(
        tr("Frames per second of real time, and where that comes from. Press to change it."));
    connect(m_rates, &QToolButton::clicked, this, &TransportBar::rateChangeAsked);
    row->addWidget(m_frame);
    row->addSpacing(12);
    row->addWidget(m_times);
    row->addSpacing(8);
    row->addWidget(m_rates);
}

QToolButton* TransportBar::addButton(const QString& icon, const QString& tip)
{
    auto* button = new QToolButton;
    button->setIcon(themeIcon(icon));
    button->setIconSize({18, 18});
    button->setToolTip(tip);
    button->setAccessibleName(tip);
    static_cast<QHBoxLayout*>(layout())->addWidget(button);
    return button;
}

void TransportBar::setRates(
    double playRateHz, std::optional<FrameRate> captureRate, RateSource source)
{
    const QString from = source == RateSource::File ? tr("from the file")
        : source == RateSource::TimeBase            ? tr("from a time-base check")
                                                    : tr("given");
    m_rates->setText(captureRate ? tr("filmed at %1/s (%2)").arg(rateText(captureRate->hz()), from)
                                 : tr("capture rate not known"));
    fillSpeeds(playRateHz, captureRate);
}

void TransportBar::fillSpeeds(double playRateHz, std::optional<FrameRate> captureRate)
{
    const int kept = m_speed->currentIndex();
    m_speed->clear();
    for (const double slow : {1.0, 2.0, 10.0}) {
        m_speed->addItem(
            slow == 1.0 ? tr("1 frame/s") : tr("%1 frames/s").arg(rateText(slow)), slow);
    }
    if (playRateHz > 0.0) {
        m_speed->addItem(tr("%1/s, as filed").arg(rateText(playRateHz)), playRateHz);
    }
    if (captureRate && captureRate->hz() != playRateHz) {
        m_speed->addItem(tr("%1/s, real time").arg(rateText(captureRate->hz())), captureRate->hz());
    }
    // Slow by default: the slower, the less the picture can flash.
    m_speed->setCurrentIndex(kept >= 0 && kept < m_speed->count() ? kept : 1);
}

double TransportBar::chosenSpeed() const { return m_speed->currentData().toDouble(); }

void TransportBar::setReadout(const Readout& readout)
{
    m_frame->setText(tr("frame %1").arg(readout.frame.value));
    m_frame->setToolTip(tr("of %1 frames, counted from 0").arg(readout.frameCount));
    const QString real = readout.real ? realTimeText(*readout.real) : QString(enDash);
    m_times->setText(tr("real %1   play %2").arg(real, playTimeText(readout.play)));
}

void TransportBar::setPlaying(bool playing)
{
    m_playing = playing;
    m_play->setIcon(themeIcon(playing ? QStringLiteral("pause") : QStringLiteral("play")));
    m_play->setToolTip(playing ? tr("Rest (Space)") : tr("Play to the end (Space)"));
}

void TransportBar::onPlaceTyped()
{
    const auto place = parsePlace(m_place->text());
    markWrong(m_place, !place);
    if (place) {
        m_place->clear();
        Q_EMIT placeAsked(*place);
    }
}

} // namespace twinlamp::ui

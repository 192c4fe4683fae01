// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/transport_bar.h"

#include "ui/theme/theme.h"
#include "ui/widgets/figures.h"
#include "ui/widgets/marking.h"

#include <QComboBox>
#include <QGridLayout>
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
        = addButton(QStringLiteral("press-back"), tr("To the press before (Alt+Page Up)"));
    const auto stepBack = addButton(QStringLiteral("step-back"), tr("One frame back (Alt+Left)"));
    m_play = addButton(QStringLiteral("play"), tr("Play to the end (Ctrl+Space)"));
    const auto stepForward
        = addButton(QStringLiteral("step-forward"), tr("One frame on (Alt+Right)"));
    const auto pressForward
        = addButton(QStringLiteral("press-forward"), tr("To the next press (Alt+Page Down)"));
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

    row->addLayout(buildReadout());
}

QLayout* TransportBar::buildReadout()
{
    // Two lines, so that all of it fits beside the buttons on a small screen.
    auto* grid = new QGridLayout;
    grid->setContentsMargins(0, 0, 0, 0);
    grid->setHorizontalSpacing(12);
    grid->setVerticalSpacing(0);
    m_frame = new QLabel;
    m_frame->setFont(typeFont(TypeSize::Base, true));
    m_real = new QLabel;
    m_playTime = new QLabel;
    m_playTime->setFont(typeFont(TypeSize::Small));
    m_playTime->setProperty("quiet", true);
    m_rates = new QToolButton;
    m_rates->setFont(typeFont(TypeSize::Small));
    m_rates->setProperty("flat", true);
    m_rates->setToolTip(
        tr("Frames per second of real time, and where that comes from. Press to change it."));
    connect(m_rates, &QToolButton::clicked, this, &TransportBar::rateChangeAsked);
    grid->addWidget(m_frame, 0, 0, Qt::AlignRight);
    grid->addWidget(m_real, 0, 1, Qt::AlignRight);
    grid->addWidget(m_rates, 1, 0, Qt::AlignRight);
    grid->addWidget(m_playTime, 1, 1, Qt::AlignRight);
    grid->setColumnMinimumWidth(
        1, fontMetrics().horizontalAdvance(tr("real %1").arg(QStringLiteral("00.0000 s"))));
    return grid;
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
    m_rates->setVisible(playRateHz > 0.0 || captureRate); // else no clip is read
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
    m_real->setText(tr("real %1").arg(real));
    m_playTime->setText(tr("play %1").arg(playTimeText(readout.play)));
}

void TransportBar::setPlaying(bool playing)
{
    m_playing = playing;
    m_play->setIcon(themeIcon(playing ? QStringLiteral("pause") : QStringLiteral("play")));
    m_play->setToolTip(playing ? tr("Rest (Ctrl+Space)") : tr("Play to the end (Ctrl+Space)"));
}

void TransportBar::onPlaceTyped()
{
    const auto place = parsePlace(m_place->text());
    if (!place) {
        markWrong(m_place, tr("A frame (1200) or a real time (1.2 s, 1200 ms)"));
        return;
    }
    m_place->clear();
    Q_EMIT placeAsked(*place);
}

} // namespace twinlamp::ui

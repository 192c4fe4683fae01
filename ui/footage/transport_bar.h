// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "ui/footage/play_pace.h"

#include <QWidget>

class QComboBox;
class QLabel;
class QLayout;
class QLineEdit;
class QToolButton;

namespace twinlamp::ui {

/// Buttons that move through the clip, and where in it we are: frame, real time, play time, rates.
class TransportBar : public QWidget
{
    Q_OBJECT

public:
    /// What is always on view.
    struct Readout
    {
        FrameIndex frame;
        std::int64_t frameCount = 0;
        std::optional<RealTime> real; ///< empty while the capture rate is not known
        PlayTime play;
    };

    explicit TransportBar(QWidget* parent = nullptr);

    /// @param captureRate  empty while it is not known
    void setRates(double playRateHz, std::optional<FrameRate> captureRate, RateSource source);
    void setReadout(const Readout& readout);
    void setPlaying(bool playing);

    /// Frames per second of watching that the speed box stands at.
    [[nodiscard]] double chosenSpeed() const;

Q_SIGNALS:
    void stepAsked(int frames);
    void pressStepAsked(bool forward);
    void playAsked(bool play);
    void speedChosen();
    void placeAsked(const twinlamp::ui::PlaceInClip& place);
    void rateChangeAsked();

private:
    QToolButton* addButton(const QString& icon, const QString& tip);
    QLayout* buildReadout();
    void fillSpeeds(double playRateHz, std::optional<FrameRate> captureRate);
    void onPlaceTyped();

    QToolButton* m_play = nullptr;
    QComboBox* m_speed = nullptr;
    QLineEdit* m_place = nullptr;
    QLabel* m_frame = nullptr;
    QLabel* m_real = nullptr;
    QLabel* m_playTime = nullptr;
    QToolButton* m_rates = nullptr;
    bool m_playing = false;
};

} // namespace twinlamp::ui

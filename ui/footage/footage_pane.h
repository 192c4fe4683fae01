// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/capture_clock.h"
#include "core/session/effective.h"
#include "ui/footage/playhead.h"
#include "ui/footage/region_kind.h"

#include <QWidget>

#include <memory>
#include <optional>
#include <vector>

namespace twinlamp::ui {

class FootageView;
class FrameFetcher;
class ScrubBar;
class TransportBar;

/// The footage of one clip: picture, scrub bar, transport, and the frame in hand.
class FootagePane : public QWidget
{
    Q_OBJECT

public:
    explicit FootagePane(QWidget* parent = nullptr);
    ~FootagePane() override;

    /// Null closes. The same clip with another clock keeps its frame.
    void setClip(const std::shared_ptr<const footage::ClipIndex>& index,
        const std::optional<footage::CaptureClock>& clock, RateSource rateSource);
    void setProblem(const QString& sentence);
    void setRegions(const std::optional<RegionSet>& regions);
    void setPresses(const std::vector<session::EffectivePress>& presses, std::optional<int> inHand);
    /// Part that is measured so far; empty when no scan runs.
    void setScanned(std::optional<double> share);
    void setEditable(bool editable);

    [[nodiscard]] Playhead& playhead() { return *m_playhead; }

    [[nodiscard]] FootageView& view() { return *m_view; }

    [[nodiscard]] FrameFetcher& fetcher() { return *m_fetcher; }

    void goTo(RealTime time);
    /// Index of the press whose onset is next after (before) the frame in hand.
    [[nodiscard]] std::optional<int> neighbourPress(bool forward) const;
    /// Plays or rests; the first time it asks, through `flashWarningAsked`.
    void togglePlay();
    /// The watcher knows that playing can flash: plays from now on without asking.
    void allowPlaying();

Q_SIGNALS:
    void regionMoved(twinlamp::ui::RegionKind kind, const twinlamp::RectPx& rect);
    void regionPulled(twinlamp::ui::RegionKind kind, const twinlamp::RectPx& rect);
    void cornersMoved(const twinlamp::QuadPx& corners);
    void cornersPulled(const twinlamp::QuadPx& corners);
    void pressPicked(int press);
    void pressStepAsked(bool forward);
    void rateChangeAsked();
    void flashWarningAsked();

private:
    void wire();
    void onFrame(FrameIndex frame);
    void updateReadout();

    FrameFetcher* m_fetcher = nullptr;
    Playhead* m_playhead = nullptr;
    FootageView* m_view = nullptr;
    ScrubBar* m_scrub = nullptr;
    TransportBar* m_transport = nullptr;
    std::shared_ptr<const footage::ClipIndex> m_index;
    std::optional<footage::CaptureClock> m_clock;
    std::vector<FrameIndex> m_onsets; ///< ascending
    std::vector<int> m_onsetPresses;
    bool m_mayPlay = false;
};

} // namespace twinlamp::ui

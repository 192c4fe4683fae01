// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/capture_clock.h"
#include "core/session/effective.h"
#include "ui/edits/session_document.h"
#include "ui/footage/region_kind.h"
#include "ui/jobs/measure_queue.h"

#include <QObject>

#include <map>
#include <memory>
#include <optional>
#include <set>
#include <vector>

namespace twinlamp::ui {

/// What is in hand on the Bench page, and the work that goes on for it. Knows no widget.
///
/// Keeps every clip of the session measured with the options it stands at: whatever changes them
/// (an edit, an undo) makes it measure again, unless the same attempt failed or was stopped before.
class BenchDesk : public QObject
{
    Q_OBJECT

public:
    BenchDesk(SessionDocument& document, QThreadPool& pool, QObject* parent = nullptr);
    ~BenchDesk() override;

    [[nodiscard]] const MeasureQueue& queue() const { return m_queue; }

    /// Clip in hand; null where there is none.
    [[nodiscard]] const session::Clip* clip() const;
    void pickClip(session::ClipId clip);

    [[nodiscard]] std::optional<int> press() const { return m_press; }

    void pickPress(std::optional<int> index);

    /// Index and clock of the clip in hand; empty until its file is read, or where it is missing.
    [[nodiscard]] const std::shared_ptr<const footage::ClipIndex>& index() const { return m_index; }

    [[nodiscard]] const std::optional<footage::CaptureClock>& clock() const { return m_clock; }

    [[nodiscard]] RateSource rateSource() const;
    /// What the clip in hand is measured with: asked for, or from its rig.
    [[nodiscard]] measure::MeasureOptions wantedOptions() const;

    /// Why the footage of the clip in hand cannot be shown; empty where it can.
    [[nodiscard]] const QString& problem() const { return m_problem; }

    /// Presses of the clip in hand as they count; provisional ones while it is measured.
    [[nodiscard]] std::vector<session::EffectivePress> presses() const;
    [[nodiscard]] std::shared_ptr<const ClipTraces> traces() const;
    [[nodiscard]] std::optional<RegionSet> regions() const;
    /// What the goggle displayed at the press in hand, ms; empty where nobody typed it in.
    [[nodiscard]] std::optional<double> readout() const;
    [[nodiscard]] bool isMeasuring() const; ///< the clip in hand
    /// Moved regions of the clip in hand were told from its light map; measureAgain() reads them.
    [[nodiscard]] bool restsOnLightMap() const;
    [[nodiscard]] std::optional<ScaledProgress> progress() const; ///< of the clip that runs
    /// Frames of the clip in hand that were left out are read later, or are being read.
    [[nodiscard]] bool isToBeFilledIn() const;

    /// The user steps, scrubs or plays: what goes on unasked makes room.
    void makeRoom() { m_queue.holdFillingIn(); }

    void moveRegion(RegionKind kind, std::optional<RectPx> rect);
    /// The panel of the clip in hand has four corners from then on.
    void moveCorners(const QuadPx& corners);
    /// Takes each lamp for the other one.
    void swapLamps(session::ClipId clip);
    void giveCaptureRate(const std::vector<session::ClipId>& clips, FrameRate rate);
    void moveMark(int press, session::Mark mark, RealTime time);
    void resetMark(int press, session::Mark mark);
    void setReadout(int press, std::optional<double> latencyMs);
    void setAside(session::PressAddress press, const QString& reason);
    void accept(session::PressAddress press);

    /// Stops all measuring; what is done stays.
    void stop();
    /// Tries again what failed or was stopped; measures the clip in hand anew in any case.
    void measureAgain();

    /// The lamps of the clip in hand were not found; its regions stand where a hand can take them.
    [[nodiscard]] bool lampsNotFound() const { return m_notLocated.contains(m_clip); }

    /// Clips that wait for their capture rate.
    [[nodiscard]] std::vector<session::ClipId> clipsWithoutRate() const;
    /// Where the footage of a clip is now; empty where it is not found.
    [[nodiscard]] std::filesystem::path fileOf(const session::Clip& clip) const;
    /// Takes a file for the clip in hand whose footage was missing; false where it cannot be it.
    bool findAgain(const std::filesystem::path& file);

Q_SIGNALS:
    void clipPicked();
    void pressPicked();
    void footageChanged(); ///< index, clock, problem
    void regionsChanged();
    /// `grew`: traces hold what they held before, and more.
    void tracesChanged(bool grew);
    /// The frames that were left out of the traces are there as well.
    void tracesFilledIn();
    void pressesChanged();
    void fillingInChanged(); ///< what is filled in, how far
    void workChanged(); ///< what is measured, how far
    void rateWanted();
    /// A clip could not be measured; one sentence.
    void measuringFailed(
        twinlamp::session::ClipId clip, const QString& name, const QString& sentence);
    /// The lamps of the clip in hand were not found: its regions want to be placed by hand.
    void placingWanted();
    /// Reading every frame of the clip found other presses than reading those around the
    /// switchings.
    void foundOtherwise(twinlamp::session::ClipId clip, int before, int after);
    /// No press of the clip got an answer: its lamps may be mistaken for each other.
    void noAnswerFound(twinlamp::session::ClipId clip);
    /// The clip's footage is in the session already, as `same`.
    void sameFootageFound(twinlamp::session::ClipId clip, twinlamp::session::ClipId same);

private:
    struct Live
    {
        std::optional<RegionSet> regions;
        MeasureGlimpse glimpse;
        bool glimpsed = false;
        std::optional<ScaledProgress> progress;
    };

    void changeRegions(RegionKind kind, const RegionSet& before, const RegionSet& after);
    void onSessionReplaced();
    void onSessionChanged();
    void bringUpToDate();
    void pickFirstPress();
    void openFootage();
    void takeIndex(JobResult<footage::ClipIndex>&& outcome);
    void updateClock();
    void locate();
    void tellIfSameFootage(session::ClipId clip);
    void tellIfUnanswered(session::ClipId clip);
    void onFinished(const MeasureTask& task, ClipResult result);
    void onFailed(const MeasureTask& task, const Error& error);
    void sayWhatToFillIn();
    void onFilledIn(const MeasureTask& task, ClipResult result);
    /// Of the clip in hand, while it is measured.
    [[nodiscard]] const Live* liveInHand() const;

    SessionDocument& m_document;
    MeasureQueue m_queue;
    JobRunner m_indexing;
    JobRunner m_locating;
    session::ClipId m_clip;
    std::optional<int> m_press;
    std::shared_ptr<const footage::ClipIndex> m_index;
    std::optional<footage::CaptureClock> m_clock;
    QString m_problem;
    std::map<session::ClipId, Live> m_live; ///< what is being measured
    /// Attempts that failed or were stopped: not tried again with the same options.
    std::map<session::ClipId, measure::MeasureOptions> m_givenUp;
    /// Options that the queue works with or will.
    std::map<session::ClipId, measure::MeasureOptions> m_asked;
    /// Attempts to fill in that failed.
    std::map<session::ClipId, measure::MeasureOptions> m_leftWithGaps;
    bool m_takesFillIn = false; ///< the session changes by nothing else at the moment
    std::set<session::ClipId> m_withoutRate;
    /// Regions proposed while the capture rate is asked for.
    std::map<session::ClipId, RegionSet> m_located;
    std::set<session::ClipId> m_notLocated;
    session::SharedValue<session::ClipMeasurement> m_shown; ///< that the views were last told of
};

} // namespace twinlamp::ui

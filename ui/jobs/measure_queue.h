// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/clip_measurement.h"
#include "core/session/ids.h"
#include "ui/jobs/job_runner.h"

#include <QObject>
#include <QTimer>

#include <array>
#include <deque>
#include <filesystem>
#include <memory>
#include <optional>
#include <vector>

namespace twinlamp::ui {

struct MeasureTask
{
    session::ClipId clip;
    std::filesystem::path file;
    measure::MeasureOptions options;
    /// Of the clip's link setting; serves where the options name none.
    std::optional<FrameRate> linkFrameRate = {};
    /// Moved regions may be told from the clip's light map, see measure::LightMapUse.
    bool lookAgain = false;
    /// Around the switchings first; the frames that are left out then wait to be filled in.
    bool sparseFirst = false;
};

/// What a running measurement has found so far; provisional.
struct MeasureGlimpse
{
    std::shared_ptr<const ClipTraces> traces;
    std::vector<Press> presses;
};

/// Measures clips on worker threads, two at once where several wait: a scan keeps every core busy
/// by itself, but a clip's index and its analysis each keep one. They share the machine's cores and
/// a budget of memory (measure::MemoryBudget), so that the second may have to wait for it.
/// Remembers the scans of the last clips, so that a moved region decodes only what it must.
///
/// Measurements that left frames out are filled in while nothing else waits or runs, quietly: a
/// request or the user's hand stops it at once, and what it has read is gone on from later.
class MeasureQueue : public QObject
{
    Q_OBJECT

public:
    explicit MeasureQueue(QThreadPool& pool, QObject* parent = nullptr);
    ~MeasureQueue() override;

    /// Queues a clip; one that waits or runs already starts anew with these options.
    /// @param ahead  before all that wait
    void add(MeasureTask task, bool ahead);
    /// Takes a clip out, asking it to stop when it runs; `stopped` follows.
    void stop(session::ClipId clip);
    void stopAll();
    /// Forgets everything without a word: another session is open.
    void clear();

    /// All that is to be filled in, in this order; whatever else was to be is forgotten.
    void setToFillIn(std::vector<MeasureTask> tasks);
    /// The user steps, scrubs, plays: filling in waits until that has rested for a while.
    void holdFillingIn();

    [[nodiscard]] std::optional<session::ClipId> fillingIn() const; ///< under way
    [[nodiscard]] bool isToBeFilledIn(session::ClipId clip) const; ///< waits or is under way

    /// Of what is under way.
    [[nodiscard]] const std::optional<ScaledProgress>& fillProgress() const
    {
        return m_fillProgress;
    }

    [[nodiscard]] std::optional<session::ClipId> running() const; ///< the one that began first
    [[nodiscard]] bool isRunning(session::ClipId clip) const;
    [[nodiscard]] bool holds(session::ClipId clip) const; ///< waits or runs

    [[nodiscard]] std::size_t waiting() const { return m_waiting.size(); }

Q_SIGNALS:
    void started(twinlamp::session::ClipId clip);
    void regionsKnown(twinlamp::session::ClipId clip, const twinlamp::RegionSet& regions);
    void glimpsed(twinlamp::session::ClipId clip, const twinlamp::ui::MeasureGlimpse& glimpse);
    void progressed(twinlamp::session::ClipId clip, twinlamp::ui::ScaledProgress progress);
    void finished(const twinlamp::ui::MeasureTask& task, const twinlamp::ClipResult& result);
    void failed(const twinlamp::ui::MeasureTask& task, const twinlamp::Error& error);
    void stopped(const twinlamp::ui::MeasureTask& task);
    void filledIn(const twinlamp::ui::MeasureTask& task, const twinlamp::ClipResult& result);
    void fillingInFailed(const twinlamp::ui::MeasureTask& task, const twinlamp::Error& error);
    /// What is filled in, how far.
    void fillingInChanged();
    /// What waits or runs changed.
    void changed();

private:
    class Mailbox;

    /// Where one clip at a time is measured.
    struct Lane
    {
        explicit Lane(QThreadPool& pool)
            : runner(pool)
        {
        }

        JobRunner runner;
        std::shared_ptr<Mailbox> mailbox;
        std::optional<MeasureTask> task; ///< under way
        quint64 begun = 0; ///< counts all that have begun
    };

    [[nodiscard]] Lane* laneOf(session::ClipId clip) const;
    [[nodiscard]] Lane* freeLane() const;
    void startNext();
    void begin(Lane& lane, const MeasureTask& task);
    void onDone(Lane& lane, JobResult<measure::Measurement>&& outcome);
    void fillNext();
    void beginFilling(const MeasureTask& task);
    void onFilled(JobResult<measure::Measurement>&& outcome);
    void remember(
        session::ClipId clip, std::shared_ptr<const measure::ScanMemory> memory, bool hasGaps);
    [[nodiscard]] std::shared_ptr<const measure::ScanMemory> memoryOf(session::ClipId clip) const;

    struct Memory
    {
        session::ClipId clip;
        std::shared_ptr<const measure::ScanMemory> scan;
        bool hasGaps = false; ///< to be filled in from there
    };

    QThreadPool& m_pool;
    std::array<std::unique_ptr<Lane>, 2> m_lanes;
    quint64 m_begun = 0;
    JobRunner m_filler;
    std::deque<MeasureTask> m_waiting;
    std::deque<Memory> m_memories; ///< the newest first
    std::deque<MeasureTask> m_toFill;
    std::optional<MeasureTask> m_filling;
    std::optional<ScaledProgress> m_fillProgress;
    QTimer m_hand; ///< runs while the user's hand is at work
};

} // namespace twinlamp::ui

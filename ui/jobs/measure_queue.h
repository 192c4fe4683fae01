// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/measure/clip_measurement.h"
#include "core/session/ids.h"
#include "ui/jobs/job_runner.h"

#include <QObject>

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
};

/// What a running measurement has found so far; provisional.
struct MeasureGlimpse
{
    std::shared_ptr<const ClipTraces> traces;
    std::vector<Press> presses;
};

/// Measures clips one after another on a worker thread: a scan keeps every core busy by itself.
/// Remembers the scans of the last clips, so that a moved region decodes only what it must.
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

    [[nodiscard]] std::optional<session::ClipId> running() const;
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
    /// What waits or runs changed.
    void changed();

private:
    class Mailbox;

    void startNext();
    void begin(const MeasureTask& task);
    void onDone(JobResult<measure::Measurement>&& outcome);
    void remember(session::ClipId clip, std::shared_ptr<const measure::ScanMemory> memory);
    [[nodiscard]] std::shared_ptr<const measure::ScanMemory> memoryOf(session::ClipId clip) const;

    JobRunner m_runner;
    std::shared_ptr<Mailbox> m_mailbox;
    std::deque<MeasureTask> m_waiting;
    std::optional<MeasureTask> m_running;
    std::deque<std::pair<session::ClipId, std::shared_ptr<const measure::ScanMemory>>> m_memories;
};

} // namespace twinlamp::ui

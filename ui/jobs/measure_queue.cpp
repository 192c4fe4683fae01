// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/jobs/measure_queue.h"

#include "ui/jobs/quiet_thread.h"

#include <algorithm>
#include <iterator>
#include <mutex>

namespace twinlamp::ui {

namespace {

/// Scans kept in memory: the clip in hand and the one before it.
constexpr std::size_t mostMemories = 2;
/// Those of older clips that wait to be filled in, together.
constexpr std::int64_t mostGapBytes = 256'000'000;
/// Between two steps by hand.
constexpr int handRestsMs = 1500;

} // namespace

/// Carries what a running measurement finds to the queue's thread. Only the newest glimpse counts,
/// and only one message is under way at a time, however fast the worker is.
class MeasureQueue::Mailbox : public std::enable_shared_from_this<Mailbox>
{
public:
    Mailbox(MeasureQueue* queue, session::ClipId clip)
        : m_queue(queue)
        , m_clip(clip)
    {
    }

    /// From then on nothing is delivered: the request is over.
    void close()
    {
        const std::scoped_lock lock(m_mutex);
        m_queue = nullptr;
    }

    void put(const RegionSet& regions)
    {
        const std::scoped_lock lock(m_mutex);
        m_regions = regions;
        post();
    }

    void put(const ClipTraces& traces, const std::vector<Press>& presses)
    {
        auto copy = std::make_shared<const ClipTraces>(traces);
        const std::scoped_lock lock(m_mutex);
        m_glimpse = MeasureGlimpse {std::move(copy), presses};
        post();
    }

private:
    void post()
    {
        if (m_queue == nullptr || m_underWay) {
            return;
        }
        m_underWay = true;
        QMetaObject::invokeMethod(
            m_queue, [self = shared_from_this()] { self->deliver(); }, Qt::QueuedConnection);
    }

    void deliver()
    {
        std::unique_lock lock(m_mutex);
        m_underWay = false;
        MeasureQueue* queue = m_queue;
        const auto regions = std::exchange(m_regions, std::nullopt);
        const auto glimpse = std::exchange(m_glimpse, std::nullopt);
        lock.unlock();
        // Runs on the queue's own thread, where it cannot die in between.
        if (queue != nullptr && regions) {
            Q_EMIT queue->regionsKnown(m_clip, *regions);
        }
        if (queue != nullptr && glimpse) {
            Q_EMIT queue->glimpsed(m_clip, *glimpse);
        }
    }

    std::mutex m_mutex;
    MeasureQueue* m_queue;
    session::ClipId m_clip;
    std::optional<RegionSet> m_regions;
    std::optional<MeasureGlimpse> m_glimpse;
    bool m_underWay = false;
};

MeasureQueue::MeasureQueue(QThreadPool& pool, QObject* parent)
    : QObject(parent)
    , m_pool(pool)
    , m_filler(pool)
{
    m_hand.setSingleShot(true);
    m_hand.setInterval(handRestsMs);
    connect(&m_hand, &QTimer::timeout, this, &MeasureQueue::fillNext);
    connect(&m_filler, &JobRunner::progressed, this, [this](ScaledProgress progress) {
        m_fillProgress = progress;
        Q_EMIT fillingInChanged();
    });
    for (auto& lane : m_lanes) {
        lane = std::make_unique<Lane>(pool);
        connect(&lane->runner, &JobRunner::progressed, this,
            [this, &lane = *lane](ScaledProgress progress) {
                if (lane.task) {
                    Q_EMIT progressed(lane.task->clip, progress);
                }
            });
    }
}

MeasureQueue::~MeasureQueue()
{
    for (const auto& lane : m_lanes) {
        if (lane->mailbox) {
            lane->mailbox->close();
        }
    }
}

MeasureQueue::Lane* MeasureQueue::laneOf(session::ClipId clip) const
{
    const auto lane = std::ranges::find_if(
        m_lanes, [&](const auto& each) { return each->task && each->task->clip == clip; });
    return lane == m_lanes.end() ? nullptr : lane->get();
}

MeasureQueue::Lane* MeasureQueue::freeLane() const
{
    const auto lane = std::ranges::find_if(m_lanes, [](const auto& each) { return !each->task; });
    return lane == m_lanes.end() ? nullptr : lane->get();
}

std::optional<session::ClipId> MeasureQueue::running() const
{
    const Lane* first = nullptr;
    for (const auto& lane : m_lanes) {
        if (lane->task && (first == nullptr || lane->begun < first->begun)) {
            first = lane.get();
        }
    }
    return first != nullptr ? std::optional(first->task->clip) : std::nullopt;
}

bool MeasureQueue::isRunning(session::ClipId clip) const { return laneOf(clip) != nullptr; }

bool MeasureQueue::holds(session::ClipId clip) const
{
    return isRunning(clip)
        || std::ranges::find(m_waiting, clip, &MeasureTask::clip) != m_waiting.end();
}

void MeasureQueue::add(MeasureTask task, bool ahead)
{
    std::erase_if(m_waiting, [&](const MeasureTask& waiting) { return waiting.clip == task.clip; });
    if (Lane* lane = laneOf(task.clip)) {
        begin(*lane, task); // takes the place of the one that runs
    } else if (ahead) {
        m_waiting.push_front(std::move(task));
    } else {
        m_waiting.push_back(std::move(task));
    }
    startNext();
    Q_EMIT changed();
}

void MeasureQueue::stop(session::ClipId clip)
{
    const auto waiting = std::ranges::find(m_waiting, clip, &MeasureTask::clip);
    if (waiting != m_waiting.end()) {
        const MeasureTask task = *waiting;
        m_waiting.erase(waiting);
        Q_EMIT stopped(task);
        Q_EMIT changed();
    }
    if (Lane* lane = laneOf(clip)) {
        lane->runner.stop();
    }
}

void MeasureQueue::stopAll()
{
    const std::deque<MeasureTask> waiting = std::exchange(m_waiting, {});
    for (const MeasureTask& task : waiting) {
        Q_EMIT stopped(task);
    }
    for (const auto& lane : m_lanes) {
        lane->runner.stop();
    }
    Q_EMIT changed();
}

void MeasureQueue::clear()
{
    m_waiting.clear();
    m_memories.clear();
    m_toFill.clear();
    m_filling.reset();
    m_filler.drop();
    for (const auto& lane : m_lanes) {
        lane->task.reset();
        if (lane->mailbox) {
            lane->mailbox->close();
        }
        lane->runner.drop();
    }
    Q_EMIT changed();
}

void MeasureQueue::startNext()
{
    for (Lane* lane = freeLane(); lane != nullptr && !m_waiting.empty(); lane = freeLane()) {
        MeasureTask task = std::move(m_waiting.front());
        m_waiting.pop_front();
        begin(*lane, task);
    }
}

void MeasureQueue::begin(Lane& lane, const MeasureTask& task)
{
    m_filler.stop();
    if (lane.mailbox) {
        lane.mailbox->close();
    }
    lane.mailbox = std::make_shared<Mailbox>(this, task.clip);
    lane.task = task;
    lane.begun = ++m_begun;
    measure::MeasureObserver observer;
    observer.onRegions = [box = lane.mailbox](const RegionSet& regions) { box->put(regions); };
    observer.onProgress = [box = lane.mailbox](const ClipTraces& traces,
                              const std::vector<Press>& presses) { box->put(traces, presses); };
    lane.runner.start<measure::Measurement>(
        [task, observer = std::move(observer), memory = memoryOf(task.clip)](
            const JobControl& control) {
            measure::MeasureOptions options = task.options;
            if (!options.linkFrameRate) {
                options.linkFrameRate = task.linkFrameRate;
            }
            if (task.sparseFirst) {
                options.scan = ScanMode::Sparse;
            }
            // A map is of every frame.
            return measure::measureClip(task.file, options, control, observer, memory,
                {!task.sparseFirst, measure::defaultMapFolder(), task.lookAgain});
        },
        [this, &lane](
            JobResult<measure::Measurement>&& outcome) { onDone(lane, std::move(outcome)); });
    Q_EMIT started(task.clip);
}

void MeasureQueue::onDone(Lane& lane, JobResult<measure::Measurement>&& outcome)
{
    lane.mailbox->close();
    const MeasureTask task = *std::exchange(lane.task, std::nullopt);
    if (outcome.hasValue()) {
        measure::Measurement measurement = std::move(outcome).value();
        const bool hasGaps = measurement.result.scan.mode == ScanMode::Sparse;
        remember(task.clip, measurement.memory, hasGaps);
        Q_EMIT finished(task, measurement.result);
    } else if (outcome.isError()) {
        Q_EMIT failed(task, outcome.error());
    } else {
        Q_EMIT stopped(task);
    }
    startNext();
    fillNext();
    Q_EMIT changed();
}

void MeasureQueue::setToFillIn(std::vector<MeasureTask> tasks)
{
    m_toFill.assign(std::make_move_iterator(tasks.begin()), std::make_move_iterator(tasks.end()));
    const auto isSame = [](const MeasureTask& a, const MeasureTask& b) {
        return a.clip == b.clip && a.file == b.file && a.options == b.options
            && a.linkFrameRate == b.linkFrameRate;
    };
    if (m_filling && std::ranges::none_of(m_toFill, [&](const MeasureTask& task) {
            return isSame(task, *m_filling);
        })) {
        m_filling.reset();
        m_filler.drop();
    }
    fillNext();
    Q_EMIT fillingInChanged();
}

void MeasureQueue::holdFillingIn()
{
    m_hand.start();
    m_filler.stop();
}

std::optional<session::ClipId> MeasureQueue::fillingIn() const
{
    return m_filling ? std::optional(m_filling->clip) : std::nullopt;
}

bool MeasureQueue::isToBeFilledIn(session::ClipId clip) const
{
    return std::ranges::find(m_toFill, clip, &MeasureTask::clip) != m_toFill.end();
}

void MeasureQueue::fillNext()
{
    const bool isIdle = !running() && m_waiting.empty() && !m_filling && !m_hand.isActive();
    if (isIdle && !m_toFill.empty()) {
        beginFilling(m_toFill.front());
    }
}

void MeasureQueue::beginFilling(const MeasureTask& task)
{
    m_filling = task;
    m_fillProgress.reset();
    auto left = std::make_shared<std::shared_ptr<const measure::ScanMemory>>();
    m_filler.start<measure::Measurement>(
        [task, left, &pool = m_pool, memory = memoryOf(task.clip)](const JobControl& control) {
            measure::MeasureOptions options = task.options;
            if (!options.linkFrameRate) {
                options.linkFrameRate = task.linkFrameRate;
            }
            measure::MeasureObserver observer;
            observer.onLeft = [left](std::shared_ptr<const measure::ScanMemory> further) {
                *left = std::move(further);
            };
            std::optional<JobResult<measure::Measurement>> outcome;
            runQuietly(pool, [&] {
                outcome = measure::measureClip(task.file, options, control, observer, memory);
            });
            return std::move(*outcome);
        },
        [this, left](JobResult<measure::Measurement>&& outcome) {
            if (*left && m_filling) {
                remember(m_filling->clip, *left, true);
            }
            onFilled(std::move(outcome));
        });
    Q_EMIT fillingInChanged();
}

void MeasureQueue::onFilled(JobResult<measure::Measurement>&& outcome)
{
    const MeasureTask task = *std::exchange(m_filling, std::nullopt);
    m_fillProgress.reset();
    if (!outcome.isCancelled()) {
        std::erase_if(m_toFill, [&](const MeasureTask& each) { return each.clip == task.clip; });
    }
    if (outcome.hasValue()) {
        measure::Measurement measurement = std::move(outcome).value();
        remember(task.clip, measurement.memory, false);
        Q_EMIT filledIn(task, measurement.result);
    } else if (outcome.isError()) {
        Q_EMIT fillingInFailed(task, outcome.error());
    }
    fillNext();
    Q_EMIT fillingInChanged();
}

void MeasureQueue::remember(
    session::ClipId clip, std::shared_ptr<const measure::ScanMemory> memory, bool hasGaps)
{
    std::erase_if(m_memories, [&](const Memory& entry) { return entry.clip == clip; });
    m_memories.push_front({clip, std::move(memory), hasGaps});
    std::int64_t gapBytes = 0;
    for (std::size_t i = mostMemories; i < m_memories.size(); ++i) {
        Memory& old = m_memories[i];
        gapBytes += old.hasGaps ? measure::memoryBytes(*old.scan) : 0;
        if (!old.hasGaps || gapBytes > mostGapBytes) {
            old.scan.reset();
        }
    }
    std::erase_if(m_memories, [](const Memory& entry) { return entry.scan == nullptr; });
}

std::shared_ptr<const measure::ScanMemory> MeasureQueue::memoryOf(session::ClipId clip) const
{
    for (const Memory& memory : m_memories) {
        if (memory.clip == clip) {
            return memory.scan;
        }
    }
    return nullptr;
}

} // namespace twinlamp::ui

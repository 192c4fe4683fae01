// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/job_control.h"
#include "core/base/result.h"
#include "ui/jobs/progress_scale.h"

#include <QFuture>
#include <QFutureWatcher>
#include <QObject>
#include <QPromise>
#include <QThreadPool>
#include <QtConcurrentRun>

#include <atomic>
#include <chrono>
#include <functional>
#include <memory>
#include <stop_token>

namespace twinlamp::ui {

/// Runs one kind of work on a worker thread and brings its outcome back to the thread it lives in.
///
/// Starting anew asks what ran before to stop and drops its answer (requests are numbered).
/// Destroying it asks the work to stop and waits for nothing; the pool joins when the application
/// leaves. The only place that knows futures.
class JobRunner : public QObject
{
    Q_OBJECT

public:
    explicit JobRunner(QThreadPool& pool, QObject* parent = nullptr);
    ~JobRunner() override;

    /// @param work  called on a worker thread with this request's stop token and progress
    /// @param done  called on this object's thread, unless a later request or drop() took its place
    template<typename T>
    void start(std::function<JobResult<T>(const JobControl&)> work,
        std::function<void(JobResult<T>&&)> done);

    /// Asks the running work to stop. Its answer still comes: usually Cancelled.
    void stop();
    /// Asks the running work to stop and forgets about it: its answer is dropped.
    void drop();

    [[nodiscard]] bool isRunning() const { return m_running; }

Q_SIGNALS:
    /// At most 25 times a second while work runs.
    void progressed(twinlamp::ui::ScaledProgress progress);
    void runningChanged(bool running);

private:
    using Clock = std::chrono::steady_clock;

    void setRunning(bool running);
    void beginRequest();

    QThreadPool& m_pool;
    std::stop_source m_stop;
    quint64 m_request = 0;
    bool m_running = false;
};

template<typename T>
void JobRunner::start(
    std::function<JobResult<T>(const JobControl&)> work, std::function<void(JobResult<T>&&)> done)
{
    using Outcome = std::shared_ptr<JobResult<T>>;
    beginRequest();
    const quint64 request = m_request;
    QFuture<Outcome> future = QtConcurrent::run(
        &m_pool, [work = std::move(work), stop = m_stop.get_token()](QPromise<Outcome>& promise) {
            JobControl control;
            control.stop = stop;
            // Scans report from several threads at once; Qt itself thins progress to 25 a second.
            control.report = [&promise](std::int64_t finished, std::int64_t total) {
                const ScaledProgress scaled = scaledProgress(finished, total);
                // A job of several stages counts from 0 again; threads that overtake each other
                // by a few frames do not.
                const bool startsOver = scaled.value < promise.future().progressValue() / 2;
                if (startsOver || promise.future().progressMaximum() != scaled.maximum) {
                    promise.setProgressRange(0, scaled.maximum);
                }
                promise.setProgressValue(scaled.value);
            };
            promise.addResult(std::make_shared<JobResult<T>>(work(control)));
        });
    auto* watcher = new QFutureWatcher<Outcome>(this);
    connect(watcher, &QFutureWatcherBase::progressValueChanged, this,
        [this, watcher, request](int value) {
            if (request == m_request && m_running) {
                Q_EMIT progressed({value, watcher->progressMaximum()});
            }
        });
    connect(watcher, &QFutureWatcherBase::finished, this,
        [this, watcher, request, done = std::move(done)] {
            const Outcome outcome = watcher->result();
            watcher->deleteLater();
            if (request == m_request) {
                setRunning(false);
                done(std::move(*outcome));
            }
        });
    watcher->setFuture(future);
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/jobs/job_runner.h"

namespace twinlamp::ui {

JobRunner::JobRunner(QThreadPool& pool, QObject* parent)
    : QObject(parent)
    , m_pool(pool)
{
    qRegisterMetaType<ScaledProgress>();
}

JobRunner::~JobRunner() { m_stop.request_stop(); }

void JobRunner::stop() { m_stop.request_stop(); }

void JobRunner::drop()
{
    m_stop.request_stop();
    ++m_request;
    setRunning(false);
}

void JobRunner::beginRequest()
{
    m_stop.request_stop();
    m_stop = std::stop_source();
    ++m_request;
    setRunning(true);
}

void JobRunner::setRunning(bool running)
{
    if (running != m_running) {
        m_running = running;
        Q_EMIT runningChanged(running);
    }
}

} // namespace twinlamp::ui

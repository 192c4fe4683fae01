// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/ui/wait_for.h"
#include "ui/jobs/job_runner.h"

#include <QSignalSpy>
#include <QTimer>

#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

using tests::waitFor;
using namespace std::chrono_literals;

/// Counts to a million frames of a millisecond each, or until it is asked to stop.
JobResult<int> longWork(const JobControl& control)
{
    for (int k = 0; k < 1'000'000; ++k) {
        std::this_thread::sleep_for(1ms);
        if (!control.tick(k, 1'000'000)) {
            return Cancelled {};
        }
    }
    return 1'000'000;
}

class JobRunnerOnAPool : public ::testing::Test
{
protected:
    ~JobRunnerOnAPool() override { m_pool.waitForDone(); }

    QThreadPool m_pool;
};

} // namespace

TEST_F(JobRunnerOnAPool, BringsTheValueToThisThread)
{
    JobRunner runner(m_pool);
    std::optional<int> value;
    Qt::HANDLE thread = nullptr;
    runner.start<int>([](const JobControl&) { return JobResult<int>(42); },
        [&](JobResult<int> outcome) {
            value = outcome.value();
            thread = QThread::currentThreadId();
        });
    EXPECT_TRUE(runner.isRunning());
    ASSERT_TRUE(waitFor([&] { return value.has_value(); }));
    EXPECT_EQ(value, 42);
    EXPECT_EQ(thread, QThread::currentThreadId());
    EXPECT_FALSE(runner.isRunning());
}

TEST_F(JobRunnerOnAPool, ErrorsArriveAsErrors)
{
    JobRunner runner(m_pool);
    std::optional<Error> error;
    runner.start<int>(
        [](const JobControl&) {
            return JobResult<int>(Error {Stage::Footage, Cause::Damaged, "nothing in it"});
        },
        [&](JobResult<int> outcome) { error = outcome.error(); });
    ASSERT_TRUE(waitFor([&] { return error.has_value(); }));
    EXPECT_EQ(error->why, Cause::Damaged);
}

TEST_F(JobRunnerOnAPool, StopIsAnOutcomeAndComesSoon)
{
    JobRunner runner(m_pool);
    bool cancelled = false;
    runner.start<int>(longWork, [&](JobResult<int> outcome) { cancelled = outcome.isCancelled(); });
    waitFor([] { return false; }, 50);
    QElapsedTimer since;
    since.start();
    runner.stop();
    ASSERT_TRUE(waitFor([&] { return cancelled; }));
    EXPECT_LT(since.elapsed(), 1'000); // 50 ms are aimed at; the machine may be busy
}

TEST_F(JobRunnerOnAPool, ALaterRequestDropsTheAnswerOfAnEarlierOne)
{
    JobRunner runner(m_pool);
    QList<int> answers;
    runner.start<int>(longWork, [&](JobResult<int>) { answers << 1; });
    runner.start<int>(
        [](const JobControl&) { return JobResult<int>(2); }, [&](JobResult<int>) { answers << 2; });
    ASSERT_TRUE(waitFor([&] { return answers.contains(2); }));
    m_pool.waitForDone();
    waitFor([] { return false; }, 30);
    EXPECT_EQ(answers, QList<int> {2});
}

TEST_F(JobRunnerOnAPool, DroppedWorkSaysNothing)
{
    JobRunner runner(m_pool);
    bool answered = false;
    runner.start<int>(longWork, [&](JobResult<int>) { answered = true; });
    runner.drop();
    EXPECT_FALSE(runner.isRunning());
    m_pool.waitForDone();
    waitFor([] { return false; }, 30);
    EXPECT_FALSE(answered);
}

TEST_F(JobRunnerOnAPool, DestroyedRunnerStopsItsWorkWithoutWaiting)
{
    bool answered = false;
    QElapsedTimer since;
    {
        JobRunner runner(m_pool);
        runner.start<int>(longWork, [&](JobResult<int>) { answered = true; });
        waitFor([] { return false; }, 20);
        since.start();
    }
    EXPECT_LT(since.elapsed(), 500);
    EXPECT_TRUE(m_pool.waitForDone(5'000));
    waitFor([] { return false; }, 30);
    EXPECT_FALSE(answered);
}

TEST_F(JobRunnerOnAPool, ProgressComesWithItsTotalAndTheLoopKeepsTurning)
{
    JobRunner runner(m_pool);
    QList<ScaledProgress> seen;
    QObject::connect(&runner, &JobRunner::progressed, &runner,
        [&](ScaledProgress progress) { seen << progress; });
    int turns = 0;
    QTimer timer;
    QObject::connect(&timer, &QTimer::timeout, &runner, [&] { ++turns; });
    timer.start(5);
    bool done = false;
    runner.start<int>(longWork, [&](JobResult<int>) { done = true; });
    ASSERT_TRUE(waitFor([&] { return seen.size() >= 3; }));
    EXPECT_GT(turns, 3);
    EXPECT_EQ(seen.last().maximum, 1'000'000);
    EXPECT_GT(seen.last().value, seen.first().value);
    runner.stop();
    ASSERT_TRUE(waitFor([&] { return done; }));
}

} // namespace twinlamp::ui

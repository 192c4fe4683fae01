// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/ui/clips.h"
#include "ui/jobs/measure_queue.h"

#include <QThreadPool>

#include <gtest/gtest.h>
#include <map>
#include <vector>

namespace twinlamp::ui::tests {

namespace {

class MeasureQueues : public ::testing::Test
{
protected:
    MeasureQueues()
        : m_queue(m_pool)
    {
        QObject::connect(&m_queue, &MeasureQueue::started, [this](session::ClipId clip) {
            m_started.push_back(clip);
            m_mostAtOnce = std::max(m_mostAtOnce, m_started.size() - m_ended);
        });
        QObject::connect(&m_queue, &MeasureQueue::finished,
            [this](const MeasureTask& task, const ClipResult& r) {
                ++m_ended;
                m_results[task.clip] = r;
            });
        QObject::connect(&m_queue, &MeasureQueue::stopped, [this](const MeasureTask& task) {
            m_ended += std::ranges::count(m_started, task.clip) > 0 ? 1U : 0U;
            m_stopped.push_back(task.clip);
        });
    }

    ~MeasureQueues() override
    {
        m_queue.clear();
        m_pool.waitForDone();
    }

    MeasureTask taskOf(std::int64_t id)
    {
        film::Scene scene = smallScene();
        scene.seed = static_cast<decltype(scene.seed)>(id);
        const std::string name = std::to_string(id) + ".mp4";
        return {session::ClipId {id}, filmed(scene, m_folder.path(), name).file, {}};
    }

    /// Filmed before the first is added, so that none has ended by the time the last one is.
    std::vector<MeasureTask> tasksOf(std::int64_t count)
    {
        std::vector<MeasureTask> tasks;
        for (std::int64_t id = 1; id <= count; ++id) {
            tasks.push_back(taskOf(id));
        }
        return tasks;
    }

    [[nodiscard]] bool isIdle() const { return !m_queue.running() && m_queue.waiting() == 0; }

    twinlamp::tests::TemporaryFolder m_folder;
    QThreadPool m_pool;
    MeasureQueue m_queue;
    std::vector<session::ClipId> m_started;
    std::vector<session::ClipId> m_stopped;
    std::map<session::ClipId, ClipResult> m_results;
    std::size_t m_ended = 0;
    std::size_t m_mostAtOnce = 0;
};

TEST_F(MeasureQueues, MeasureTwoClipsAtOnceAndEachAsIfAlone)
{
    const auto tasks = tasksOf(4);
    for (const MeasureTask& task : tasks) {
        m_queue.add(task, false);
    }
    EXPECT_TRUE(m_queue.isRunning(tasks[0].clip));
    EXPECT_TRUE(m_queue.isRunning(tasks[1].clip));
    EXPECT_FALSE(m_queue.isRunning(tasks[2].clip));
    EXPECT_TRUE(m_queue.holds(tasks[2].clip));
    EXPECT_EQ(m_queue.running(), tasks[0].clip);
    EXPECT_EQ(m_queue.waiting(), 2U);
    ASSERT_TRUE(waitFor([this] { return isIdle(); }));
    EXPECT_EQ(m_mostAtOnce, 2U);
    ASSERT_EQ(m_results.size(), 4U);
    for (const MeasureTask& task : tasks) {
        const auto alone = measure::measureClip(task.file, task.options, {});
        ASSERT_TRUE(alone.hasValue());
        EXPECT_EQ(m_results.at(task.clip).presses, alone.value().result.presses);
    }
}

TEST_F(MeasureQueues, TheClipInHandComesNext)
{
    const auto tasks = tasksOf(4);
    for (const MeasureTask& task : tasks) {
        m_queue.add(task, task.clip == session::ClipId {4});
    }
    ASSERT_TRUE(waitFor([this] { return isIdle(); }));
    ASSERT_EQ(m_started.size(), 4U);
    EXPECT_EQ(m_started[2], session::ClipId {4});
    EXPECT_EQ(m_started[3], session::ClipId {3});
}

TEST_F(MeasureQueues, AStopOfOneLeavesTheOther)
{
    const auto tasks = tasksOf(2);
    const MeasureTask& first = tasks[0];
    const MeasureTask& second = tasks[1];
    m_queue.add(first, false);
    m_queue.add(second, false);
    m_queue.stop(second.clip);
    ASSERT_TRUE(waitFor([this] { return isIdle(); }));
    EXPECT_EQ(m_stopped, std::vector {second.clip});
    EXPECT_TRUE(m_results.contains(first.clip));
    EXPECT_FALSE(m_results.contains(second.clip));
}

TEST_F(MeasureQueues, AStopOfAllEndsBothAndWhatWaits)
{
    for (const MeasureTask& task : tasksOf(3)) {
        m_queue.add(task, false);
    }
    m_queue.stopAll();
    ASSERT_TRUE(waitFor([this] { return isIdle(); }));
    EXPECT_EQ(m_stopped.size(), 3U);
    EXPECT_TRUE(m_results.empty());
}

TEST_F(MeasureQueues, OtherOptionsTakeThePlaceOfWhatRuns)
{
    MeasureTask task = taskOf(1);
    m_queue.add(task, false);
    task.options.searchMs = 123.0;
    m_queue.add(task, false);
    ASSERT_TRUE(waitFor([this] { return isIdle(); }));
    EXPECT_EQ(m_results.size(), 1U);
    EXPECT_TRUE(m_stopped.empty());
    EXPECT_EQ(m_started.size(), 2U);
}

} // namespace

} // namespace twinlamp::ui::tests

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "tests/ui/clips.h"
#include "tests/ui/session_helpers.h"
#include "ui/edits/session_document.h"
#include "ui/pages/bench_page.h"

#include <QTest>
#include <QThreadPool>

#include <gtest/gtest.h>

namespace twinlamp::ui::tests {

/// A Bench page on a new session, on screen (or what the offscreen platform takes for one).
class BenchOnASession : public ::testing::Test
{
protected:
    BenchOnASession()
        : m_page(std::make_unique<BenchPage>(m_document, m_pool))
    {
        m_page->resize(1366, 700);
        m_document.take(newSession(m_folder / "bench.twinlamp"));
        m_page->show();
        QCoreApplication::processEvents();
    }

    ~BenchOnASession() override
    {
        m_page.reset();
        m_pool.waitForDone();
    }

    /// Files a clip of the scene as if it were dropped on the window.
    FilmedClip add(const film::Scene& scene, const std::string& name = "clip.mp4")
    {
        FilmedClip clip = filmed(scene, m_folder.path(), name);
        m_page->addClips({QString::fromStdString(clip.file.string())});
        return clip;
    }

    /// Waits for the last clip's measurement; false where none comes.
    bool waitUntilMeasured()
    {
        return waitFor([this] {
            const auto& clips = m_document.session().clips;
            return !clips.empty() && clips.back().measurement
                && clips.back().measurement->options == clips.back().options
                && !m_page->desk().queue().running();
        });
    }

    [[nodiscard]] const session::Clip& clip() const { return m_document.session().clips.back(); }

    twinlamp::tests::TemporaryFolder m_folder;
    QThreadPool m_pool;
    SessionDocument m_document;
    std::unique_ptr<BenchPage> m_page;
};

} // namespace twinlamp::ui::tests

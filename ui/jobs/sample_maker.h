// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/sample_set.h"
#include "ui/jobs/job_runner.h"

#include <filesystem>
#include <optional>

namespace twinlamp::ui {

/// Films the clips of the sample campaign where they are missing, behind the window.
class SampleMaker : public QObject
{
    Q_OBJECT

public:
    /// @param list  samples.json; the samples are not offered where it cannot be read
    SampleMaker(QThreadPool& pool, const std::filesystem::path& list, QObject* parent = nullptr);

    [[nodiscard]] const std::optional<film::SampleSet>& campaign() const { return m_campaign; }

    /// Whether the sample session can be opened at once: it exists, or all its clips do.
    [[nodiscard]] bool isReady() const;
    [[nodiscard]] bool isOffered() const;

    [[nodiscard]] bool isFilming() const { return m_runner.isRunning(); }

    /// Films what is missing; `ready` or `failed` follows. A second call while it runs is nothing.
    void make();
    void stop();

Q_SIGNALS:
    void progressed(twinlamp::ui::ScaledProgress progress);
    /// Done, failed (one sentence) or stopped (empty).
    void ready();
    void failed(const QString& sentence);

private:
    std::optional<film::SampleSet> m_campaign;
    JobRunner m_runner;
};

} // namespace twinlamp::ui

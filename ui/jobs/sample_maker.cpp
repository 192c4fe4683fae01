// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/jobs/sample_maker.h"

#include "ui/edits/sample_session.h"

#include <spdlog/spdlog.h>

namespace twinlamp::ui {

SampleMaker::SampleMaker(QThreadPool& pool, const std::filesystem::path& list, QObject* parent)
    : QObject(parent)
    , m_runner(pool)
{
    if (!list.empty()) {
        auto set = film::loadSampleSet(list);
        if (set) {
            m_campaign = campaignOf(std::move(*set));
        } else {
            spdlog::info("no samples: {}", set.error().detail);
        }
    }
    connect(&m_runner, &JobRunner::progressed, this, &SampleMaker::progressed);
}

bool SampleMaker::isReady() const
{
    return std::filesystem::exists(sampleSessionFile())
        || (m_campaign && film::samplesComplete(*m_campaign, sampleFolder()));
}

bool SampleMaker::isOffered() const { return m_campaign.has_value() || isReady(); }

void SampleMaker::make()
{
    if (!m_campaign || isFilming()) {
        return;
    }
    m_runner.start<film::SampleReport>(
        [set = *m_campaign](const JobControl& control) {
            return film::makeSamples(set, sampleFolder(), 0, control);
        },
        [this](JobResult<film::SampleReport>&& outcome) {
            if (outcome.hasValue()) {
                Q_EMIT ready();
            } else {
                Q_EMIT failed(
                    outcome.isError() ? QString::fromStdString(outcome.error().detail) : QString());
            }
        });
}

void SampleMaker::stop() { m_runner.stop(); }

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/setting_figures.h"

#include "core/session/effective.h"

#include <algorithm>
#include <utility>

namespace twinlamp::report {

bool areRegionsDoubtful(const session::Clip& clip)
{
    return clip.measurement
        && std::ranges::any_of(clip.measurement->notes,
            [](const Sentence& note) { return note.id == "located-unsure"; });
}

bool SettingFiguresCache::isSame(const Kept& kept, const Kept& now)
{
    const auto isSameClip = [](const ClipKey& a, const ClipKey& b) {
        // A measurement is never changed in place: the same object is the same measurement.
        return a.run == b.run && a.clip == b.clip && a.measurement.sharesWith(b.measurement)
            && a.corrections == b.corrections;
    };
    return kept.linkFrameRate == now.linkFrameRate && kept.lateLimit == now.lateLimit
        && std::ranges::equal(kept.clips, now.clips, isSameClip);
}

void SettingFiguresCache::fill(const session::Session& session, Kept& setting)
{
    SettingFigures& figures = setting.figures;
    std::vector<std::vector<Press>> runs;
    std::optional<session::RunId> run;
    for (const ClipKey& key : setting.clips) {
        const session::Clip& clip = *session::find(session, key.clip);
        if (run != key.run) {
            runs.emplace_back();
            run = key.run;
        }
        ++figures.clips;
        figures.clipsDoubtful += areRegionsDoubtful(clip) ? 1 : 0;
        figures.clipsMeasured += clip.measurement ? 1 : 0;
        const auto counted = session::countedPresses(clip);
        runs.back().insert(runs.back().end(), counted.begin(), counted.end());
    }
    const std::vector<stats::RunPresses> views(runs.begin(), runs.end());
    figures.summary
        = stats::summariseRuns(views, Edge::On, {setting.lateLimit, setting.linkFrameRate});
    for (const stats::RunPresses& view : views) {
        const auto counted = stats::countedLatencies(view, Edge::On);
        figures.latencies.insert(figures.latencies.end(), counted.begin(), counted.end());
    }
}

const std::vector<SettingFigures>& SettingFiguresCache::update(const session::Session& session)
{
    std::map<std::int64_t, Kept> now;
    std::map<std::int64_t, std::vector<ClipKey>> clipsOfRun;
    for (const session::Clip& clip : session.clips) {
        clipsOfRun[clip.run.value].push_back(
            {clip.run, clip.id, clip.measurement, clip.corrections});
    }
    for (const session::LinkSetting& setting : session.settings) {
        Kept& made = now[setting.id.value];
        made.linkFrameRate = setting.conditions.linkFrameRate;
        made.lateLimit = session.lateLimit;
        made.figures.id = setting.id;
        for (const session::Run* run : session::runsOf(session, setting.id)) {
            std::vector<ClipKey>& clips = clipsOfRun[run->id.value];
            std::ranges::move(clips, std::back_inserter(made.clips));
        }
        const auto before = m_kept.find(setting.id.value);
        if (before != m_kept.end() && isSame(before->second, made)) {
            made.figures = std::move(before->second.figures);
        } else {
            fill(session, made);
        }
    }
    m_kept = std::move(now);
    std::vector<std::vector<Latency>> latencies;
    for (const session::LinkSetting& setting : session.settings) {
        latencies.push_back(m_kept[setting.id.value].figures.latencies);
    }
    const stats::HistogramAxis axis = stats::sharedAxis(latencies);
    m_figures.clear();
    for (const session::LinkSetting& setting : session.settings) {
        SettingFigures& figures = m_kept[setting.id.value].figures;
        if (figures.histogram.axis != axis || figures.histogram.counts.size() != axis.bins) {
            figures.histogram = stats::histogramOn(axis, figures.latencies);
        }
        m_figures.push_back(figures);
    }
    return m_figures;
}

} // namespace twinlamp::report

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/compared_setting.h"

namespace twinlamp::report {

ComparedSetting comparedSetting(
    const SettingPresses& presses, stats::Figure figure, std::optional<Latency> lateLimit)
{
    ComparedSetting setting;
    setting.name = presses.name;
    const auto runs = presses.runViews();
    const auto clips = presses.clipViews();
    const stats::SummaryOptions how {lateLimit, presses.linkFrameRate()};
    setting.summary = stats::summariseRuns(runs, Edge::On, how, figure);
    setting.off = stats::summariseRuns(runs, Edge::Off, how, figure);
    setting.details = stats::summaryDetails(clips, Edge::On, figure);
    const auto byRun = stats::latenciesByRun(runs, Edge::On, figure);
    setting.drift = stats::runDrift(byRun);
    for (std::size_t i = 0; i < byRun.size(); ++i) {
        if (byRun[i].presses() > 0) {
            ++setting.runs;
            setting.runNames.push_back(presses.runs[i].name);
        }
    }
    for (const ClipPresses& clip : presses.clips) {
        setting.clips.push_back({clip.file, presses.runs[clip.run].name,
            stats::timeFigures(clip.presses, Edge::On, figure)});
    }
    return setting;
}

} // namespace twinlamp::report

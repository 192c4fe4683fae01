// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/ui/campaign.h"

#include <utility>

namespace twinlamp::ui::tests {

session::Session campaign(const std::vector<CampaignSetting>& settings)
{
    session::Session session;
    std::int64_t run = 0;
    for (std::size_t i = 0; i < settings.size(); ++i) {
        const auto id = static_cast<std::int64_t>(i) + 1;
        session::LinkSetting& setting = session.settings.emplace_back();
        setting.id = {id};
        setting.place = id;
        setting.name = settings[i].name;
        for (const double offset : settings[i].runOffsetsMs) {
            ++run;
            session.runs.push_back({{run}, run, {id}, "run " + std::to_string(run), ""});
            session::ClipMeasurement made;
            made.clip.file = std::to_string(run) + ".mp4";
            made.clip.captureRate = {480, 1};
            for (int k = 0; k < settings[i].presses; ++k) {
                Press& press = made.presses.emplace_back();
                press.index = k;
                press.reference = realTimeFromMs(100.0 + 871.0 * k);
                press.latency = latencyFromMs(20.0 + offset + settings[i].stepMs * (k * 7 % 12));
            }
            session::Clip& clip = session.clips.emplace_back();
            clip.id = {run};
            clip.place = run;
            clip.run = {run};
            clip.measurement = std::move(made);
        }
    }
    return session;
}

} // namespace twinlamp::ui::tests

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/edits/sample_session.h"

#include "core/session/clip_files.h"
#include "core/session/edit.h"
#include "core/session/store/session_file.h"

#include <QStandardPaths>

#include <system_error>

namespace twinlamp::ui {

namespace {

using session::store::SessionFile;

/// Applies edits one after another until one fails.
class Filler
{
public:
    explicit Filler(SessionFile& file)
        : m_file(file)
    {
    }

    void add(const Result<session::Edit>& edit)
    {
        if (m_outcome) {
            m_outcome = edit ? m_file.apply(*edit) : Result<void>(tl::unexpected(edit.error()));
        }
    }

    [[nodiscard]] const session::Session& session() const { return m_file.session(); }

    [[nodiscard]] const Result<void>& outcome() const { return m_outcome; }

private:
    SessionFile& m_file;
    Result<void> m_outcome;
};

session::RunId runFor(Filler& filler, session::SettingId setting, const std::string& name)
{
    if (const session::Run* run = session::findRun(filler.session(), setting, name)) {
        return run->id;
    }
    const auto id = session::newId<session::RunId>();
    filler.add(session::addRun(filler.session(), id, setting, name));
    return id;
}

void fill(Filler& filler, const film::SampleSet& campaign, const std::filesystem::path& clips,
    const std::filesystem::path& file)
{
    session::SessionInfo info;
    info.name = campaign.name;
    info.notes = campaign.notes;
    if (campaign.lateLimitMs) {
        info.lateLimit = latencyFromMs(*campaign.lateLimitMs);
    }
    filler.add(session::changeInfo(filler.session(), info));
    for (const film::SampleSetting& setting : campaign.settings) {
        filler.add(session::addSetting(filler.session(), session::newId<session::SettingId>(),
            setting.name, conditionsOf(setting)));
    }
    for (const film::SampleClip& sample : campaign.clips) {
        const session::LinkSetting* setting
            = session::findSetting(filler.session(), sample.setting);
        if (setting == nullptr) {
            continue;
        }
        session::Clip clip;
        clip.id = session::newId<session::ClipId>();
        clip.run = runFor(filler, setting->id, sample.run);
        clip.notes = sample.notes;
        std::error_code unknown;
        const auto size = std::filesystem::file_size(clips / sample.file, unknown);
        clip.file = session::clipFileFor(
            clips / sample.file, file, {}, unknown ? 0 : static_cast<std::int64_t>(size));
        filler.add(session::addClip(filler.session(), clip));
    }
}

} // namespace

std::filesystem::path sampleFolder()
{
    const QString data = QStandardPaths::writableLocation(QStandardPaths::GenericDataLocation);
    return std::filesystem::path(data.toStdString()) / "twinlamp" / "samples";
}

std::filesystem::path sampleSessionFile() { return sampleFolder() / "sample.twinlamp"; }

film::SampleSet campaignOf(film::SampleSet set)
{
    std::erase_if(set.clips, [](const film::SampleClip& clip) { return clip.setting.empty(); });
    return set;
}

session::Conditions conditionsOf(const film::SampleSetting& setting)
{
    session::Conditions conditions;
    conditions.linkCamera = setting.linkCamera;
    conditions.linkFrameRate = setting.linkFrameRate;
    conditions.widthPx = setting.widthPx;
    conditions.heightPx = setting.heightPx;
    conditions.bitRateMbit = setting.bitRateMbit;
    conditions.channelWidthMhz = setting.channelWidthMhz;
    conditions.outputPowerMw = setting.outputPowerMw;
    conditions.distanceM = setting.distanceM;
    conditions.interference = setting.interference;
    conditions.goggle = setting.goggle;
    conditions.panelRateHz = setting.panelRateHz;
    conditions.lampPlace = setting.lampPlace;
    conditions.notes = setting.notes;
    return conditions;
}

Result<void> writeSampleSession(const film::SampleSet& campaign, const std::filesystem::path& clips,
    const std::filesystem::path& file)
{
    auto created = SessionFile::create(file, campaign.name);
    if (!created) {
        return tl::unexpected(created.error());
    }
    Filler filler(*created);
    fill(filler, campaign, clips, file);
    Result<void> outcome = filler.outcome() ? created->close() : filler.outcome();
    if (!outcome) {
        std::error_code ignored; // the first error is the one to tell
        std::filesystem::remove(file, ignored);
    }
    return outcome;
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/session_file.h"
#include "tests/support/temporary_folder.h"
#include "ui/edits/sample_session.h"

#include <gtest/gtest.h>
#include <set>

namespace twinlamp::ui {

TEST(SampleSession, HoldsTheCampaignOfTheProgramsOwnList)
{
    auto set = film::loadSampleSet(std::filesystem::path(TWINLAMP_SAMPLES) / "samples.json");
    ASSERT_TRUE(set.has_value()) << set.error().detail;
    const film::SampleSet campaign = campaignOf(std::move(*set));
    ASSERT_GE(campaign.settings.size(), 3U);
    const twinlamp::tests::TemporaryFolder folder;
    const auto file = folder / "sample.twinlamp";
    const auto written = writeSampleSession(campaign, folder.path(), file);
    ASSERT_TRUE(written.has_value()) << written.error().detail;

    const auto opened = session::store::SessionFile::open(file);
    ASSERT_TRUE(opened.has_value()) << opened.error().detail;
    const session::Session& session = opened->session();
    EXPECT_EQ(session.name, campaign.name);
    EXPECT_EQ(session.settings.size(), campaign.settings.size());
    EXPECT_EQ(session.clips.size(), campaign.clips.size());
    for (const session::LinkSetting& setting : session.settings) {
        // Runs are the blocks of a comparison: fewer than three would decide nothing.
        EXPECT_GE(session::runsOf(session, setting.id).size(), 3U) << setting.name;
        EXPECT_TRUE(setting.conditions.linkFrameRate.has_value()) << setting.name;
    }
    EXPECT_NE(session.notes.find("nvented"), std::string::npos);
}

TEST(SampleSession, ExistingFileStaysAsItIs)
{
    const twinlamp::tests::TemporaryFolder folder;
    film::SampleSet campaign;
    campaign.name = "twice";
    ASSERT_TRUE(writeSampleSession(campaign, folder.path(), folder / "s.twinlamp").has_value());
    EXPECT_FALSE(writeSampleSession(campaign, folder.path(), folder / "s.twinlamp").has_value());
    EXPECT_TRUE(session::store::SessionFile::open(folder / "s.twinlamp").has_value());
}

TEST(ConditionsOf, CarriesEveryFieldOver)
{
    film::SampleSetting sample;
    sample.linkCamera = "camera";
    sample.linkFrameRate = FrameRate {60, 1};
    sample.widthPx = 960;
    sample.heightPx = 720;
    sample.bitRateMbit = 18.0;
    sample.channelWidthMhz = 20.0;
    sample.outputPowerMw = 60.0;
    sample.distanceM = 4.0;
    sample.interference = "none";
    sample.goggle = "goggle";
    sample.panelRateHz = 90.0;
    sample.lampPlace = "middle";
    sample.notes = "notes";
    session::Conditions expected;
    expected.linkCamera = "camera";
    expected.linkFrameRate = FrameRate {60, 1};
    expected.widthPx = 960;
    expected.heightPx = 720;
    expected.bitRateMbit = 18.0;
    expected.channelWidthMhz = 20.0;
    expected.outputPowerMw = 60.0;
    expected.distanceM = 4.0;
    expected.interference = "none";
    expected.goggle = "goggle";
    expected.panelRateHz = 90.0;
    expected.lampPlace = "middle";
    expected.notes = "notes";
    EXPECT_EQ(conditionsOf(sample), expected);
}

} // namespace twinlamp::ui

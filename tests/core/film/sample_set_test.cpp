// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/film.h"
#include "core/film/sample_set.h"
#include "core/film/truth.h"
#include "tests/support/temporary_folder.h"

#include <algorithm>
#include <fstream>
#include <gmock/gmock.h>
#include <map>
#include <set>

namespace twinlamp::film {

using testing::HasSubstr;
using twinlamp::tests::TemporaryFolder;

namespace {

/// Two tiny clips.
std::filesystem::path tinySet(const std::filesystem::path& folder)
{
    std::ofstream(folder / "tiny.json") << R"({"picture":{"width":96,"height":64},"duration_ms":60,
        "lamps":{"programme":{"kind":"list","edges_ms":[20]}},
        "reference_lamp":{"x":20,"y":30,"radius_px":5},
        "panel":{"rect":[40,10,40,40],"lamp_image":{"radius_px":5}}})";
    std::ofstream(folder / "samples.json") << R"({"name":"tiny","settings":[{"name":"A"}],
        "clips":[{"file":"one.mp4","scene":"tiny.json","setting":"A","run":"1"},
                 {"file":"two.mp4","scene":"tiny.json","changes":{"seed":2}}]})";
    return folder / "samples.json";
}

} // namespace

TEST(SampleSet, MakesOnlyWhatIsMissing)
{
    const TemporaryFolder folder;
    const auto set = loadSampleSet(tinySet(folder.path()));
    ASSERT_TRUE(set.has_value()) << set.error().detail;
    const auto out = folder.path() / "made";
    EXPECT_FALSE(samplesComplete(*set, out));
    std::int64_t last = 0;
    JobControl control;
    control.report = [&](std::int64_t done, std::int64_t total) {
        last = done;
        EXPECT_EQ(total, 56); // two clips of 28 frames
    };
    const auto first = makeSamples(*set, out, 2, control);
    ASSERT_TRUE(first.hasValue()) << first.error().detail;
    EXPECT_EQ(first.value().clipsFilmed, 2);
    EXPECT_EQ(last, 56);
    EXPECT_TRUE(samplesComplete(*set, out));
    std::filesystem::remove(truthPath(out / "two.mp4"));
    const auto second = makeSamples(*set, out, 0, {});
    ASSERT_TRUE(second.hasValue());
    EXPECT_EQ(second.value().clipsFilmed, 1);
    EXPECT_EQ(second.value().clipsThere, 1);
}

TEST(SampleSet, StopLeavesNoHalfWrittenClip)
{
    const TemporaryFolder folder;
    const auto set = loadSampleSet(tinySet(folder.path()));
    const auto out = folder.path() / "made";
    std::stop_source stop;
    JobControl control;
    control.stop = stop.get_token();
    control.report = [&](std::int64_t, std::int64_t) { stop.request_stop(); };
    EXPECT_TRUE(makeSamples(*set, out, 2, control).isCancelled());
    EXPECT_TRUE(std::filesystem::is_empty(out));
}

TEST(SampleSet, SettingThatIsNotListedIsRefused)
{
    const TemporaryFolder folder;
    std::ofstream(folder.path() / "s.json")
        << R"({"clips":[{"file":"a.mp4","scene":"a.json","setting":"B"}]})";
    const auto set = loadSampleSet(folder.path() / "s.json");
    ASSERT_FALSE(set.has_value());
    EXPECT_THAT(set.error().detail, HasSubstr("clips[0].setting is \"B\""));
}

// The samples that come with the program.
class OwnSamples : public testing::Test
{
protected:
    void SetUp() override
    {
        auto set = loadSampleSet(TWINLAMP_SAMPLES_LIST);
        ASSERT_TRUE(set.has_value()) << set.error().detail;
        m_set = std::move(*set);
    }

    SampleSet m_set;
};

TEST_F(OwnSamples, HaveThreeRunsInEachOfThreeSettings)
{
    std::map<std::string, std::set<std::string>> runs;
    std::set<std::string> files;
    for (const SampleClip& clip : m_set.clips) {
        EXPECT_TRUE(files.insert(clip.file).second) << clip.file << " is listed twice";
        if (!clip.setting.empty()) {
            runs[clip.setting].insert(clip.run);
        }
    }
    EXPECT_GE(m_set.settings.size(), 3U);
    for (const SampleSetting& setting : m_set.settings) {
        EXPECT_GE(runs[setting.name].size(), 3U) << setting.name;
    }
}

TEST_F(OwnSamples, EachSceneIsSoundAndFitsItsContainer)
{
    for (const SampleClip& clip : m_set.clips) {
        const auto scene = sampleScene(m_set, clip);
        ASSERT_TRUE(scene.has_value()) << clip.file << ": " << scene.error().detail;
        EXPECT_FALSE(scene->name.empty()) << clip.file;
        const Truth truth = truthOf(*scene);
        const auto answered = std::ranges::count_if(
            truth.presses, [](const Press& press) { return press.firstLight.has_value(); });
        EXPECT_GE(answered, 6) << clip.file;
    }
}

TEST_F(OwnSamples, KeepToCalmFlashing)
{
    // One press is one flash; at most three in any second (WCAG 2.3.1), the clip that shows closely
    // spaced presses in slow motion included, on the file's own time line.
    for (const SampleClip& clip : m_set.clips) {
        const auto scene = sampleScene(m_set, clip);
        ASSERT_TRUE(scene.has_value());
        const double slowness = scene->camera.captureRate.hz()
            / scene->file.playRate.value_or(scene->camera.captureRate).hz();
        const Truth truth = truthOf(*scene);
        std::vector<double> flashes;
        for (const Press& press : truth.presses) {
            if (press.edge == Edge::On) {
                flashes.push_back(toMs(press.reference.value()) * slowness);
            }
        }
        for (std::size_t i = 3; i < flashes.size(); ++i) {
            EXPECT_GT(flashes[i] - flashes[i - 3], 1000.0) << clip.file << " flash " << i;
        }
    }
}

} // namespace twinlamp::film

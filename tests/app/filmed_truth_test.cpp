// SPDX-License-Identifier: GPL-3.0-or-later
// The whole way over files only: a scene is filmed, the clip is measured with its regions given,
// and the two JSON files are compared. The truth knows nothing of the measurement.
#include "tests/app/clips.h"
#include "tests/support/program.h"
#include "tests/support/temporary_folder.h"

#include <cmath>
#include <fstream>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace twinlamp::tests {

namespace {

using nlohmann::json;

struct CleanClip
{
    const char* name;
    const char* captureRate;
};

/// Instead of its bytes, in the test's name.
void PrintTo(const CleanClip& row, std::ostream* stream) { *stream << row.name; }

json readJson(const std::filesystem::path& file)
{
    std::ifstream stream(file);
    return json::parse(stream);
}

std::string rectText(const json& rect)
{
    return std::to_string(rect[0].get<int>()) + "," + std::to_string(rect[1].get<int>()) + ","
        + std::to_string(rect[2].get<int>()) + "," + std::to_string(rect[3].get<int>());
}

class FilmedClip : public testing::TestWithParam<CleanClip>
{
protected:
    /// The JSON of `twinlamp measure` with the truth's regions.
    [[nodiscard]] json measured(const json& truth) const
    {
        const json& regions = truth.at("regions");
        const auto target = m_folder.path() / "out.json";
        ProgramOptions options;
        options.environment = {{"XDG_STATE_HOME", m_folder.path().string()},
            {"XDG_CACHE_HOME", m_folder.path().string()}};
        const auto run = runProgram(TWINLAMP_PROGRAM,
            {"measure", clip(GetParam().name).string(), "--capture-rate", GetParam().captureRate,
                "--reference", rectText(regions.at("reference")), "--goggle",
                rectText(regions.at("goggle")), "--panel", rectText(regions.at("panel")), "--json",
                target.string()},
            options);
        EXPECT_EQ(run.status, 0) << run.err;
        return readJson(target);
    }

private:
    TemporaryFolder m_folder;
};

TEST_P(FilmedClip, EveryPressIsFoundAndNoneInvented)
{
    const json truth = readJson(truthOf(GetParam().name)).at("presses");
    const json found = measured(readJson(truthOf(GetParam().name))).at("presses");
    ASSERT_EQ(found.size(), truth.size());
    for (std::size_t i = 0; i < truth.size(); ++i) {
        EXPECT_EQ(found[i].at("edge"), truth[i].at("edge")) << i;
        EXPECT_EQ(found[i].at("index"), truth[i].at("index")) << i;
        EXPECT_EQ(found[i].at("accepted"), true) << found[i].dump();
    }
}

TEST_P(FilmedClip, ATripodIsNotTakenForAHand)
{
    const json result = measured(readJson(truthOf(GetParam().name)));
    for (const json& note : result.at("notes")) {
        EXPECT_EQ(note.get<std::string>().find("held in the hand"), std::string::npos) << note;
    }
}

TEST_P(FilmedClip, LatencyIsGoodToATenthOfAFrame)
{
    const json truth = readJson(truthOf(GetParam().name));
    const json result = measured(truth);
    const json& found = result.at("presses");
    ASSERT_EQ(found.size(), truth.at("presses").size());
    const double frameMs = 1e3 / result.at("clip").at("capture_rate_hz").get<double>();
    double squares = 0.0;
    int inside = 0;
    for (std::size_t i = 0; i < found.size(); ++i) {
        ASSERT_FALSE(found[i].at("latency_ms").is_null()) << found[i].dump();
        const double error = found[i].at("latency_ms").get<double>()
            - truth.at("presses")[i].at("latency_ms").get<double>();
        squares += error * error;
        inside += std::abs(error) <= found[i].at("uncertainty_ms").get<double>() ? 1 : 0;
    }
    const auto count = static_cast<double>(found.size());
    // The goal of the first version on clean footage: RMSE below 0.10 frame.
    EXPECT_LT(std::sqrt(squares / count), 0.10 * frameMs);
    // Half widths are for 95 %; with 10 to 16 edges, fewer than 75 % inside has a chance of about 1
    // % at most.
    EXPECT_GE(inside, static_cast<int>(std::ceil(0.75 * count)));
}

TEST_P(FilmedClip, FullFrameComesAtItsTrueTime)
{
    const json truth = readJson(truthOf(GetParam().name));
    const json result = measured(truth);
    const double frameMs = 1e3 / result.at("clip").at("capture_rate_hz").get<double>();
    int compared = 0;
    for (std::size_t i = 0; i < result.at("presses").size(); ++i) {
        const json& found = result.at("presses")[i].at("full_frame_ms");
        const json& expected = truth.at("presses")[i].at("full_frame_ms");
        if (!found.is_null() && !expected.is_null()) {
            ++compared;
            // The grid's cells are averaged over several rows each; one frame is its promise here.
            EXPECT_NEAR(found.get<double>(), expected.get<double>(), frameMs) << i;
        }
    }
    EXPECT_GT(compared, 0) << "no full frame was measured at all";
}

INSTANTIATE_TEST_SUITE_P(Clean, FilmedClip,
    testing::Values(CleanClip {"clean", "1000"}, CleanClip {"clean_480_hevc", "480"},
        CleanClip {"clean_240_mjpeg", "240"}),
    [](const testing::TestParamInfo<CleanClip>& row) { return std::string(row.param.name); });

} // namespace

} // namespace twinlamp::tests

// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/explain_command.h"
#include "tests/app/clips.h"
#include "tests/support/temporary_folder.h"

#include <fstream>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <iterator>
#include <nlohmann/json.hpp>
#include <sstream>

namespace twinlamp::commands {

namespace {

using nlohmann::json;
using testing::HasSubstr;
using tests::clip;

struct Outcome
{
    ExitStatus status = ExitStatus::Done;
    std::string out;
    std::string err;
    std::vector<LampPicture> pictures; ///< that the drawing was given
    std::optional<DrawingFormat> format; ///< empty: nothing was drawn
};

class ExplainCommand : public testing::Test
{
protected:
    static Outcome run(const ExplainArguments& arguments, std::stop_token stop = {})
    {
        std::ostringstream out;
        std::ostringstream err;
        Outcome outcome;
        const CommandContext context {out, err, std::move(stop), false};
        outcome.status = runExplain(arguments, context,
            [&outcome](const report::PressExplanation&, const std::vector<LampPicture>& pictures,
                DrawingFormat format) -> Result<std::string> {
                outcome.pictures = pictures;
                outcome.format = format;
                return std::string("drawing");
            });
        outcome.out = out.str();
        outcome.err = err.str();
        return outcome;
    }

    static ExplainArguments third()
    {
        ExplainArguments arguments;
        arguments.clip = clip("clean");
        arguments.options.captureRate = FrameRate {1000, 1};
        arguments.press = 3;
        return arguments;
    }

    twinlamp::tests::TemporaryFolder m_folder;
};

TEST_F(ExplainCommand, GivesThePicturesOfBothLampsToTheDrawing)
{
    ExplainArguments arguments = third();
    arguments.output = (m_folder / "third.SVG").string();
    arguments.jsonFile = "-";
    const Outcome outcome = run(arguments);
    ASSERT_EQ(outcome.status, ExitStatus::Done) << outcome.err;
    EXPECT_EQ(outcome.format, DrawingFormat::Svg);
    const json made = json::parse(outcome.out);
    EXPECT_EQ(made["press"], 3);
    ASSERT_EQ(outcome.pictures.size(), 2 * made["strip"].size());
    EXPECT_GE(outcome.pictures.size(), 16U);
    for (const LampPicture& picture : outcome.pictures) {
        EXPECT_GE(picture.picture.widthPx, 8);
    }
    std::ifstream file(arguments.output);
    EXPECT_EQ(std::string(std::istreambuf_iterator<char>(file), {}), "drawing");
}

TEST_F(ExplainCommand, ExplainsWhatMeasureSays)
{
    ExplainArguments arguments = third();
    arguments.jsonFile = "-";
    const json made = json::parse(run(arguments).out);
    const json truth = json::parse(std::ifstream(tests::truthOf("clean")));
    // The clean clip is measured to well below a frame, see measure_command_test.cpp.
    EXPECT_NEAR(
        made["latency_ms"].get<double>(), truth["presses"][2]["latency_ms"].get<double>(), 0.3);
    double share = 0.0;
    for (const json& part : made["budget"]["parts"]) {
        share += part["variance_share"].get<double>();
    }
    EXPECT_NEAR(share, 1.0, 1e-3);
    EXPECT_LT(made["reference"]["residual_deviation"].get<double>(), 0.02);
    EXPECT_LT(made["goggle"]["residual_deviation"].get<double>(), 0.03);
}

TEST_F(ExplainCommand, RefusesAnotherEndingBeforeTheLongPart)
{
    ExplainArguments arguments = third();
    arguments.clip = m_folder / "gone.mp4";
    arguments.output = "third.jpg";
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.status, ExitStatus::WrongWords);
    EXPECT_THAT(outcome.err, HasSubstr("third.jpg ends neither in .png nor in .svg"));
}

TEST_F(ExplainCommand, NamesThePressesThatThereAre)
{
    ExplainArguments arguments = third();
    arguments.press = 4000;
    arguments.output = (m_folder / "none.png").string();
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.status, ExitStatus::WrongWords);
    EXPECT_THAT(outcome.err, HasSubstr("has presses 1 to"));
    EXPECT_FALSE(outcome.format);
    EXPECT_FALSE(std::filesystem::exists(arguments.output));
}

TEST_F(ExplainCommand, WithoutAPressIsStatusFour)
{
    ExplainArguments arguments = third();
    arguments.clip = clip("no_press");
    const json regions = json::parse(std::ifstream(tests::truthOf("no_press")))["regions"];
    const auto rect = [](const json& at) { return RectPx {at[0], at[1], at[2], at[3]}; };
    arguments.options.reference = rect(regions["reference"]);
    arguments.options.goggle = rect(regions["goggle"]);
    arguments.options.withoutPanel = true;
    arguments.output = (m_folder / "none.png").string();
    EXPECT_EQ(run(arguments).status, ExitStatus::NothingFound);
}

TEST_F(ExplainCommand, UnwritableFileIsStatusFive)
{
    ExplainArguments arguments = third();
    arguments.output = (m_folder / "nowhere" / "third.png").string();
    EXPECT_EQ(run(arguments).status, ExitStatus::NotWritten);
}

TEST_F(ExplainCommand, StoppedLeavesNothingBehind)
{
    std::stop_source stop;
    stop.request_stop();
    ExplainArguments arguments = third();
    arguments.output = (m_folder / "third.png").string();
    EXPECT_EQ(run(arguments, stop.get_token()).status, ExitStatus::Stopped);
    EXPECT_FALSE(std::filesystem::exists(arguments.output));
}

} // namespace

} // namespace twinlamp::commands

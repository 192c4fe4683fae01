// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/command_line.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <variant>

namespace twinlamp::app {

namespace {

using commands::LocateArguments;
using commands::MeasureArguments;
using testing::HasSubstr;

/// What the words are read as; fails the test where they are refused.
template<typename Arguments> Arguments read(const std::vector<std::string>& words)
{
    const auto line = parseCommandLine(words);
    if (!line) {
        ADD_FAILURE() << line.error().detail;
        return {};
    }
    const auto* arguments = std::get_if<Arguments>(&line->request);
    EXPECT_NE(arguments, nullptr) << "another request";
    return arguments == nullptr ? Arguments {} : *arguments;
}

/// The sentence that refuses the words.
std::string refusal(const std::vector<std::string>& words)
{
    const auto line = parseCommandLine(words);
    EXPECT_FALSE(line.has_value());
    if (line) {
        return {};
    }
    EXPECT_EQ(line.error().where, Stage::Command);
    EXPECT_EQ(line.error().why, Cause::InvalidValue);
    EXPECT_THAT(line.error().detail, testing::Not(HasSubstr("\n")));
    return line.error().detail;
}

TEST(CommandLine, NoWordsOpenTheWindowOnNothing)
{
    EXPECT_TRUE(read<WindowFiles>({}).files.empty());
}

TEST(CommandLine, FilesOpenTheWindowOnThem)
{
    const auto window = read<WindowFiles>({"a.mp4", "b c.mov"});
    EXPECT_THAT(window.files, testing::ElementsAre("a.mp4", "b c.mov"));
}

TEST(CommandLine, MeasureWithoutOptionsTakesTheContractsDefaults)
{
    const auto measure = read<MeasureArguments>({"measure", "clip.mp4"});
    EXPECT_EQ(measure.clip, "clip.mp4");
    EXPECT_EQ(measure.options, measure::MeasureOptions {});
    EXPECT_EQ(measure.options.searchMs, 150.0);
    EXPECT_FALSE(measure.options.shortestHoldMs.has_value());
    EXPECT_EQ(measure.options.reliedHoldMs(), 100.0);
    EXPECT_EQ(measure.options.edges, measure::EdgeChoice::Both);
    EXPECT_EQ(measure.options.scan, ScanMode::Full);
    EXPECT_FALSE(measure.options.linkFrameRate.has_value());
    EXPECT_FALSE(measure.lateLimitMs.has_value());
    EXPECT_TRUE(measure.jsonFile.empty() && measure.csvFile.empty());
}

TEST(CommandLine, EveryMeasureOptionLandsInItsPlace)
{
    const auto measure = read<MeasureArguments>(
        {"measure", "clip.mp4", "--reference", "1,2,3,4", "--goggle", "5,6,7,8", "--panel",
            "9,10,11,12", "--capture-rate", "240000/1001", "--exposure", "2.5", "--line-time",
            "-12.25", "--transfer", "srgb", "--link-frame-rate", "59.94", "--edges", "off",
            "--search", "200", "--late-limit", "40.5", "--zero", "-0.4", "--zero-uncertainty",
            "0.05", "--scan", "sparse", "--shortest-hold", "80", "--threads", "3", "--json", "-",
            "--csv", "a.csv", "--session", "s.twinlamp", "--setting", "wide, 25", "--run", "2"});
    const measure::MeasureOptions& options = measure.options;
    EXPECT_EQ(options.reference, (RectPx {1, 2, 3, 4}));
    EXPECT_EQ(options.goggle, (RectPx {5, 6, 7, 8}));
    EXPECT_EQ(options.panel, (RectPx {9, 10, 11, 12}));
    EXPECT_EQ(options.captureRate, (FrameRate {240000, 1001}));
    EXPECT_EQ(options.captureRateSource, RateSource::Given);
    EXPECT_EQ(options.exposureMs, 2.5);
    EXPECT_EQ(options.lineTimeUs, -12.25);
    EXPECT_EQ(options.transfer, measure::TransferCurve::Srgb);
    EXPECT_EQ(options.edges, measure::EdgeChoice::Off);
    EXPECT_EQ(options.searchMs, 200.0);
    EXPECT_EQ(options.zeroMs, -0.4);
    EXPECT_EQ(options.zeroUncertaintyMs, 0.05);
    EXPECT_EQ(options.scan, ScanMode::Sparse);
    EXPECT_EQ(options.shortestHoldMs, 80.0);
    EXPECT_EQ(options.threads, 3);
    EXPECT_EQ(measure.options.linkFrameRate, parseFrameRate("59.94"));
    EXPECT_EQ(measure.lateLimitMs, 40.5);
    EXPECT_EQ(measure.jsonFile, "-");
    EXPECT_EQ(measure.csvFile, "a.csv");
    EXPECT_EQ(measure.sessionFile, "s.twinlamp");
    EXPECT_EQ(measure.setting, "wide, 25");
    EXPECT_EQ(measure.run, "2");
}

TEST(CommandLine, NoPanelIsAChoiceAgainstAPanel)
{
    EXPECT_TRUE(read<MeasureArguments>({"measure", "c", "--no-panel"}).options.withoutPanel);
    EXPECT_THAT(
        refusal({"measure", "c", "--no-panel", "--panel", "1,2,3,4"}), HasSubstr("--no-panel"));
}

TEST(CommandLine, PanelTakesFourCorners)
{
    const auto options
        = read<MeasureArguments>({"measure", "c", "--panel", "40,20,200,50,190,170,25,140"})
              .options;
    EXPECT_EQ(
        options.panelCorners, (QuadPx {{CornerPx {40, 20}, {200, 50}, {190, 170}, {25, 140}}}));
    EXPECT_EQ(options.panel, (RectPx {25, 20, 175, 150})) << "the rectangle around them";
    EXPECT_FALSE(read<MeasureArguments>({"measure", "c", "--panel", "9,10,11,12"})
                     .options.panelCorners.has_value());
}

TEST(CommandLine, SaysWhatIsWrongWithCorners)
{
    const auto said = [](const char* corners) {
        return refusal({"measure", "c", "--panel", corners});
    };
    EXPECT_THAT(said("1,2,3,4,5,6"), HasSubstr("X1,Y1,X2,Y2,X3,Y3,X4,Y4"));
    EXPECT_THAT(said("25,140,190,170,200,50,40,20"), HasSubstr("counter-clockwise"));
    EXPECT_THAT(said("40,20,190,170,200,50,25,140"), HasSubstr("cross"));
    EXPECT_THAT(said("40,20,44,20,44,24,40,24"), HasSubstr("too close"));
}

TEST(CommandLine, ExplainTakesAPressADrawingAndTheMeasureOptions)
{
    const auto explain = read<commands::ExplainArguments>({"explain", "c.mp4", "--press", "7", "-o",
        "seven.svg", "--capture-rate", "480", "--reference", "1,2,3,4", "--edges", "on"});
    EXPECT_EQ(explain.press, 7);
    EXPECT_EQ(explain.output, "seven.svg");
    EXPECT_EQ(explain.options.captureRate, (FrameRate {480, 1}));
    EXPECT_EQ(explain.options.reference, (RectPx {1, 2, 3, 4}));
    EXPECT_EQ(explain.options.edges, measure::EdgeChoice::On);
}

TEST(CommandLine, ExplainNeedsAPressAndAFile)
{
    EXPECT_THAT(refusal({"explain", "c.mp4", "-o", "a.png"}), HasSubstr("--press"));
    EXPECT_THAT(refusal({"explain", "c.mp4", "--press", "1"}), HasSubstr("-o FILE.png"));
    EXPECT_THAT(refusal({"explain", "c.mp4", "--press", "0", "-o", "a.png"}), HasSubstr("--press"));
    EXPECT_THAT(refusal({"explain", "c.mp4", "--press", "1", "-o", "-"}), HasSubstr(".svg"));
}

TEST(CommandLine, LocateTakesAClipAndAFile)
{
    const auto locate = read<LocateArguments>({"locate", "clip.mp4", "--json", "out.json"});
    EXPECT_EQ(locate.clip, "clip.mp4");
    EXPECT_EQ(locate.jsonFile, "out.json");
}

TEST(CommandLine, FilmTakesASceneAndAClipOrASamplesFolder)
{
    const auto film = read<commands::FilmArguments>({"film", "scene.json", "-o", "clip.mp4"});
    EXPECT_EQ(film.scene, "scene.json");
    EXPECT_EQ(film.clip, "clip.mp4");
    const auto samples = read<commands::FilmArguments>(
        {"film", "--samples", "folder", "--sample-list", "list.json", "--threads", "2"});
    EXPECT_EQ(samples.samplesFolder, "folder");
    EXPECT_EQ(samples.samplesList, "list.json");
    EXPECT_EQ(samples.threads, 2);
    EXPECT_THAT(refusal({"film"}), HasSubstr("-o CLIP"));
    EXPECT_THAT(refusal({"film", "scene.json"}), HasSubstr("--output"));
    EXPECT_THAT(refusal({"film", "-o", "clip.mp4"}), HasSubstr("SCENE"));
}

template<typename Question> Question readQuestion(const std::vector<std::string>& words)
{
    const auto reckon = read<commands::ReckonArguments>(words);
    const auto* question = std::get_if<Question>(&reckon.question);
    EXPECT_NE(question, nullptr) << "another question";
    return question == nullptr ? Question {} : *question;
}

TEST(CommandLine, ReckonReadsItsQuestions)
{
    const auto late = readQuestion<stats::LateClaim>(
        {"reckon", "late", "--share", "0.02", "--confidence", "0.9", "--seen", "3"});
    EXPECT_EQ(late.share, 0.02);
    EXPECT_EQ(late.confidence, 0.9);
    EXPECT_EQ(late.seen, 3);
    const auto limits = readQuestion<stats::LimitsClaim>(
        {"reckon", "limits", "--coverage", "0.99", "--two-sided"});
    EXPECT_EQ(limits.coverage, 0.99);
    EXPECT_EQ(limits.confidence, 0.95);
    EXPECT_EQ(limits.extremes, 2);
    const auto width = readQuestion<stats::WidthClaim>(
        {"reckon", "width", "--sd", "8", "--half-width", "1.5", "--of", "median"});
    EXPECT_EQ(width.sdMs, 8.0);
    EXPECT_EQ(width.halfWidthMs, 1.5);
    EXPECT_EQ(width.of, stats::Centre::Median);
    const auto difference = readQuestion<stats::DifferenceClaim>(
        {"reckon", "difference", "--sd", "8", "--difference", "2", "--power", "0.9"});
    EXPECT_EQ(difference.differenceMs, 2.0);
    EXPECT_EQ(difference.power, 0.9);
}

TEST(CommandLine, ReckonLinkTakesALinkSetting)
{
    const auto question = readQuestion<commands::LinkQuestion>({"reckon", "link", "--bit-rate",
        "12.5", "--frame-rate", "60000/1001", "--resolution", "960x720", "--channel-width", "20",
        "--efficiency", "2.5", "--packet", "1400", "--loss", "0.02", "--round-trip", "3",
        "--allowance", "8", "--fixed", "7", "--panel-rate", "120", "--seed", "5", "--bursts", "3"});
    EXPECT_EQ(question.model.bitRateMbit, 12.5);
    EXPECT_NEAR(question.model.frameRateHz, 59.94, 1e-4);
    EXPECT_EQ(question.model.picture, (link::PictureSize {960, 720}));
    EXPECT_EQ(question.model.channelWidthMhz, 20.0);
    EXPECT_EQ(question.model.efficiencyBitPerHz, 2.5);
    EXPECT_EQ(question.model.packetBytes, 1400.0);
    EXPECT_EQ(question.model.loss, 0.02);
    EXPECT_EQ(question.model.roundTripMs, 3.0);
    EXPECT_EQ(question.model.allowanceMs, 8.0);
    EXPECT_EQ(question.parts.fixedMs, 7.0);
    EXPECT_EQ(question.parts.panelRateHz, 120.0);
    EXPECT_EQ(question.simulation.seed, 5U);
    EXPECT_EQ(question.simulation.burstFactor, 3.0);
    EXPECT_EQ(readQuestion<commands::LinkQuestion>(
                  {"reckon", "link", "--bit-rate", "12", "--frame-rate", "60"})
                  .model.roundTripMs,
        std::nullopt);
}

TEST(CommandLine, ReckonLinkTakesARadioPathInThePlaceOfTheLoss)
{
    std::vector<std::string> words {"reckon", "link", "--bit-rate", "12", "--frame-rate", "60",
        "--channel-width", "20", "--power", "200", "--distance", "0.4", "--channel", "R6"};
    const auto question = readQuestion<commands::LinkQuestion>(words);
    EXPECT_EQ(question.powerMw, 200.0);
    EXPECT_EQ(question.radio.path.distanceKm, 0.4);
    EXPECT_EQ(question.radio.path.frequencyMhz, 5843.0);
    words.insert(words.end(), {"--loss", "0.1"});
    EXPECT_THAT(refusal(words), HasSubstr("--loss"));
    EXPECT_THAT(refusal({"reckon", "link", "--bit-rate", "12", "--frame-rate", "60", "--power",
                    "200", "--distance", "1"}),
        HasSubstr("--channel-width"));
}

TEST(CommandLine, CompareReadsItsWords)
{
    const auto plain = read<commands::CompareArguments>({"compare", "s.twinlamp", "a b", "c"});
    EXPECT_EQ(plain.session, "s.twinlamp");
    EXPECT_EQ(plain.a, "a b");
    EXPECT_EQ(plain.b, "c");
    EXPECT_EQ(plain.of, stats::Figure::FirstLight);
    EXPECT_FALSE(plain.lateLimitMs || plain.marginMs);
    const auto full = read<commands::CompareArguments>({"compare", "s.twinlamp", "a", "b", "--of",
        "full-frame", "--late-limit", "35.5", "--margin", "2", "--json", "-"});
    EXPECT_EQ(full.of, stats::Figure::FullFrame);
    EXPECT_EQ(full.lateLimitMs, 35.5);
    EXPECT_EQ(full.marginMs, 2.0);
    EXPECT_EQ(full.jsonFile, "-");
    EXPECT_THAT(refusal({"compare", "s.twinlamp", "a"}), HasSubstr("compare --help"));
    EXPECT_TRUE(read<commands::CompareArguments>({"compare", "s.twinlamp", "--all"}).all);
    EXPECT_THAT(refusal({"compare", "s.twinlamp"}), HasSubstr("or --all"));
    EXPECT_THAT(refusal({"compare", "s.twinlamp", "a", "--all"}), HasSubstr("either names"));
    EXPECT_THAT(refusal({"compare", "s.twinlamp", "a", "b", "--of", "half"}), HasSubstr("--of"));
    EXPECT_THAT(
        refusal({"compare", "s.twinlamp", "a", "b", "--margin", "0"}), HasSubstr("above 0"));
}

TEST(CommandLine, ReckonSaysWhatIsWrong)
{
    EXPECT_THAT(refusal({"reckon"}), HasSubstr("reckon --help"));
    EXPECT_THAT(refusal({"reckon", "late"}), HasSubstr("--share"));
    EXPECT_THAT(refusal({"reckon", "late", "--share", "5"}), HasSubstr("between 0 and 1"));
    EXPECT_THAT(refusal({"reckon", "late", "--share", "0,05"}), HasSubstr("'0,05'"));
    EXPECT_THAT(refusal({"reckon", "late", "--share", "0.1", "--seen", "-1"}), HasSubstr("--seen"));
    EXPECT_THAT(refusal({"reckon", "width", "--sd", "8", "--half-width", "1", "--of", "mode"}),
        HasSubstr("reckon width --help"));
    EXPECT_THAT(
        refusal({"reckon", "link", "--bit-rate", "9", "--frame-rate", "60", "--resolution", "960"}),
        HasSubstr("960x720"));
    EXPECT_THAT(refusal({"reckon", "link", "--bit-rate", "9", "--frame-rate", "60", "--air-rate",
                    "30", "--channel-width", "20"}),
        HasSubstr("--air-rate"));
    EXPECT_TRUE(parseCommandLine({"reckon", "late", "--share", "0.1", "--verbose"})->verbose);
}

template<typename Task> Task readTask(const std::vector<std::string>& words)
{
    const auto session = read<commands::SessionArguments>(words);
    const auto* task = std::get_if<Task>(&session.task);
    EXPECT_NE(task, nullptr) << "another task";
    return task == nullptr ? Task {} : *task;
}

TEST(CommandLine, SessionTakesATaskAndItsWords)
{
    const auto merge = readTask<commands::MergeSessions>(
        {"session", "merge", "a.twinlamp", "b.twinlamp", "c d.twinlamp", "--prefer", "there"});
    EXPECT_THAT(merge.others, testing::ElementsAre("b.twinlamp", "c d.twinlamp"));
    EXPECT_EQ(merge.prefer, session::Prefer::There);
    const auto copy = readTask<commands::ExportSession>(
        {"session", "export", "a.twinlamp", "-o", "out.twinlamp", "--without-traces"});
    EXPECT_EQ(copy.output, "out.twinlamp");
    EXPECT_FALSE(copy.withTraces);
    const auto typed = readTask<commands::TypeReadouts>({"session", "readout", "a.twinlamp",
        "narrow", "22.5", "23", "--clip", "x.mp4", "--press", "3"});
    EXPECT_EQ(typed.latenciesMs, (std::vector<double> {22.5, 23.0}));
    EXPECT_EQ(typed.press, 3);
    const auto figures = readTask<commands::ShowFigures>(
        {"session", "figures", "a.twinlamp", "narrow", "wide", "--late-limit", "35"});
    EXPECT_EQ(figures.settings, (std::vector<std::string> {"narrow", "wide"}));
    EXPECT_EQ(figures.lateLimitMs, 35.0);
    const auto check = readTask<commands::CheckReadouts>(
        {"session", "agreement", "a.twinlamp", "--of", "settings", "--setting", "narrow"});
    EXPECT_EQ(check.of, report::PairsOf::Settings);
    EXPECT_EQ(check.setting, "narrow");
    EXPECT_EQ(read<commands::SessionArguments>({"session", "history", "a.twinlamp", "--json", "-"})
                  .jsonFile,
        "-");
}

TEST(CommandLine, ConditionsAreToldOneByOne)
{
    const auto task = readTask<commands::TellConditions>(
        {"session", "conditions", "a.twinlamp", "narrow", "--bit-rate", "12.5", "--resolution",
            "960x540", "--channel", "R4", "--antenna", "patch", "--distance", "open"});
    session::Conditions conditions;
    conditions.distanceM = 3.0;
    for (const auto& tell : task.told) {
        tell(conditions);
    }
    session::Conditions expected;
    expected.bitRateMbit = 12.5;
    expected.widthPx = 960;
    expected.heightPx = 540;
    expected.channelMhz = 5769.0; // the fourth of the eight race channels
    expected.antenna = "patch";
    EXPECT_EQ(conditions, expected);
    EXPECT_THAT(refusal({"session", "conditions", "a.twinlamp", "narrow", "--brightness", "120"}),
        HasSubstr("0 to 100"));
}

TEST(CommandLine, SessionRefusesHalfATask)
{
    EXPECT_THAT(refusal({"session"}), HasSubstr("session --help"));
    EXPECT_THAT(refusal({"session", "merge", "a.twinlamp"}), HasSubstr("OTHERS"));
    EXPECT_THAT(refusal({"session", "export", "a.twinlamp"}), HasSubstr("session export --help"));
    EXPECT_THAT(refusal({"session", "readout", "a.twinlamp", "narrow"}), HasSubstr("--clear"));
    EXPECT_THAT(
        refusal({"session", "readout", "a.twinlamp", "narrow", "22,5"}), HasSubstr("'22,5'"));
    EXPECT_THAT(refusal({"session", "readout", "a.twinlamp", "narrow", "22", "--press", "1"}),
        HasSubstr("--clip"));
}

TEST(CommandLine, VerboseMayStandBeforeOrAfterTheCommand)
{
    EXPECT_TRUE(parseCommandLine({"--verbose", "measure", "c"})->verbose);
    EXPECT_TRUE(parseCommandLine({"measure", "c", "--verbose"})->verbose);
    EXPECT_FALSE(parseCommandLine({"measure", "c"})->verbose);
}

TEST(CommandLine, HelpShowsOnlyCommandsThatExist)
{
    const std::string help = read<TextRequest>({"--help"}).text;
    for (const char* command : {"measure", "locate", "explain", "zero", "timebase", "film",
             "compare", "reckon", "session"}) {
        EXPECT_THAT(help, HasSubstr(command));
    }
    EXPECT_THAT(help, testing::Not(HasSubstr("publish")));
    EXPECT_THAT(help, HasSubstr("seizures")) << "the cautions belong to the help";
}

TEST(CommandLine, EveryCommandHasHelp)
{
    for (const char* command : {"measure", "locate", "explain", "zero", "timebase", "film"}) {
        EXPECT_THAT(read<TextRequest>({command, "--help"}).text, HasSubstr("--json")) << command;
    }
    for (const char* question : {"late", "limits", "width", "difference", "link"}) {
        EXPECT_THAT(read<TextRequest>({"reckon", question, "--help"}).text, HasSubstr("--json"))
            << question;
    }
    for (const char* task : {"show", "figures", "history", "conditions", "merge", "export",
             "relink", "readout", "agreement"}) {
        EXPECT_THAT(read<TextRequest>({"session", task, "--help"}).text, HasSubstr("--json"))
            << task;
    }
}

TEST(CommandLine, VersionIsOneLine)
{
    EXPECT_THAT(read<TextRequest>({"--version"}).text,
        testing::MatchesRegex("twinlamp [0-9]+\\.[0-9]+\\.[0-9]+\n"));
}

TEST(CommandLine, RefusalNamesTheHelpOfItsCommand)
{
    EXPECT_THAT(refusal({"measure"}), HasSubstr("twinlamp measure --help"));
    EXPECT_THAT(refusal({"--nonsense"}), HasSubstr("twinlamp --help"));
}

TEST(CommandLine, DecimalCommaIsRefusedWithAHint)
{
    const std::string reason = refusal({"measure", "c", "--exposure", "2,5"});
    EXPECT_THAT(reason, HasSubstr("--exposure"));
    EXPECT_THAT(reason, HasSubstr("'2,5'"));
    EXPECT_THAT(reason, HasSubstr("decimal point"));
}

TEST(CommandLine, SettingAndSessionNeedEachOther)
{
    EXPECT_THAT(refusal({"measure", "c", "--session", "s"}), HasSubstr("--setting"));
    EXPECT_THAT(refusal({"measure", "c", "--setting", "s"}), HasSubstr("--session"));
    EXPECT_THAT(refusal({"measure", "c", "--run", "1"}), HasSubstr("--session"));
}

TEST(CommandLine, BlankNamesAreRefused)
{
    EXPECT_THAT(refusal({"measure", ""}), HasSubstr("CLIP"));
    EXPECT_THAT(refusal({"locate", ""}), HasSubstr("CLIP"));
    EXPECT_THAT(refusal({"measure", "c", "--session", "s", "--setting", ""}), HasSubstr("setting"));
    EXPECT_THAT(refusal({"measure", "c", "--session", "s", "--setting", "a", "--run", " \t"}),
        HasSubstr("--run"));
}

TEST(CommandLine, TwoResultsOnStandardOutputAreRefused)
{
    EXPECT_THAT(
        refusal({"measure", "c", "--json", "-", "--csv", "-"}), HasSubstr("standard output"));
}

struct BadValue
{
    const char* name;
    const char* option;
    const char* value;
};

/// Instead of its bytes, in the test's name.
void PrintTo(const BadValue& row, std::ostream* stream) { *stream << row.name; }

class RefusedValue : public testing::TestWithParam<BadValue>
{
};

TEST_P(RefusedValue, IsNamedTogetherWithItsOption)
{
    const std::string reason
        = refusal({"measure", "clip.mp4", GetParam().option, GetParam().value});
    EXPECT_THAT(reason, HasSubstr(GetParam().option));
    EXPECT_THAT(reason, HasSubstr(GetParam().value));
}

INSTANTIATE_TEST_SUITE_P(Measure, RefusedValue,
    testing::Values(BadValue {"RectOfThree", "--reference", "1,2,3"},
        BadValue {"EmptyRect", "--goggle", "1,2,0,4"},
        BadValue {"RateOfZero", "--capture-rate", "0"},
        BadValue {"RateInWords", "--capture-rate", "fast"},
        BadValue {"ExposureOfZero", "--exposure", "0"},
        BadValue {"ExposureNotFinite", "--exposure", "inf"},
        BadValue {"NoNumber", "--exposure", "nan"},
        BadValue {"NumberWithUnit", "--search", "150ms"},
        BadValue {"NegativeSearch", "--search", "-1"},
        BadValue {"UnknownCurve", "--transfer", "log"},
        BadValue {"UnknownEdge", "--edges", "rising"}, BadValue {"UnknownScan", "--scan", "quick"},
        BadValue {"HalfAThread", "--threads", "1.5"}, BadValue {"NoThread", "--threads", "0"},
        BadValue {"NegativeUncertainty", "--zero-uncertainty", "-0.1"},
        BadValue {"RateBelowOne", "--capture-rate", "0.5"},
        BadValue {"RateBeyondACamera", "--capture-rate", "1000000.5"},
        BadValue {"RateOfLongNumbers", "--capture-rate", "9223372036854775807/9223372036854775806"},
        BadValue {"LinkRateBeyondACamera", "--link-frame-rate", "99999999999"},
        BadValue {"CorrectionThatOverflows", "--zero", "1e300"},
        BadValue {"SearchOfDays", "--search", "3600001"},
        BadValue {"LimitOfDays", "--late-limit", "1e12"},
        BadValue {"ExposureOfDays", "--exposure", "1e12"},
        BadValue {"HoldOfDays", "--shortest-hold", "1e12"},
        BadValue {"LineTimeOfASecond", "--line-time", "-1000000"}),
    [](const testing::TestParamInfo<BadValue>& row) { return std::string(row.param.name); });

TEST(ParseCommandLine, RigChecksTakeTheirWords)
{
    const auto zero = parseCommandLine({"zero", "a.mp4", "--capture-rate", "240", "--reference",
        "1,2,3,4", "--session", "s.twinlamp", "--rig", "tripod"});
    ASSERT_TRUE(zero) << zero.error().detail;
    const auto& check = std::get<commands::ZeroArguments>(zero->request);
    EXPECT_EQ(check.clip, "a.mp4");
    EXPECT_EQ(check.options.captureRate, (FrameRate {240, 1}));
    EXPECT_EQ(check.options.reference, (RectPx {1, 2, 3, 4}));
    EXPECT_EQ(check.rig, "tripod");

    const auto timeBase = parseCommandLine(
        {"timebase", "a.mp4", "--period", "2000", "--period-uncertainty", "0.2", "--json", "-"});
    ASSERT_TRUE(timeBase) << timeBase.error().detail;
    const auto& driven = std::get<commands::TimeBaseArguments>(timeBase->request);
    EXPECT_EQ(driven.period.ms, 2000.0);
    EXPECT_EQ(driven.period.halfWidthMs, 0.2);
    EXPECT_EQ(driven.jsonFile, "-");
}

TEST(ParseCommandLine, RigChecksRefuseHalfAnOrder)
{
    EXPECT_FALSE(parseCommandLine({"timebase", "a.mp4"})) << "no period";
    EXPECT_FALSE(parseCommandLine({"timebase", "a.mp4", "--period", "0"}));
    EXPECT_FALSE(parseCommandLine({"zero", "a.mp4", "--session", "s.twinlamp"})) << "no rig";
    EXPECT_FALSE(parseCommandLine({"zero", "a.mp4", "--rig", "tripod"})) << "no session";
    EXPECT_FALSE(parseCommandLine({"zero", "a.mp4", "--goggle", "1,2,3"}));
}

} // namespace

} // namespace twinlamp::app

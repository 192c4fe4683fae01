// SPDX-License-Identifier: GPL-3.0-or-later
// The words of `twinlamp reckon`.
#include "app/command_line_parts.h"
#include "app/option_values.h"

#include <limits>
#include <memory>
#include <optional>
#include <utility>

namespace twinlamp::app {

namespace {

using commands::LinkQuestion;
using commands::ReckonArguments;

std::optional<double> parseShare(const std::string& text)
{
    const auto value = parsePositive(text);
    return value && *value < 1.0 ? value : std::nullopt;
}

std::optional<double> parseLoss(const std::string& text)
{
    const auto value = parseNumber(text);
    return value && *value >= 0.0 && *value < 1.0 ? value : std::nullopt;
}

std::optional<double> parseOneOrMore(const std::string& text)
{
    const auto value = parsePositive(text);
    return value && *value >= 1.0 ? value : std::nullopt;
}

std::optional<double> parseHz(const std::string& text)
{
    const auto rate = parseRate(text);
    return rate ? std::optional(rate->hz()) : std::nullopt;
}

constexpr auto shareTakes = "a share between 0 and 1, such as 0.05";
constexpr auto timeTakes = "a time in ms above 0 and up to 3600000, with a decimal point";
constexpr auto rateTakes = "a frame rate from 1 to 1000000, such as 60, 59.94 or 60000/1001";
constexpr auto positiveTakes = "a number above 0, with a decimal point";

CLI::Option* addShare(CLI::App& command, double& target, const char* name, const char* help)
{
    return addValue<double>(command, target, {name, "P", shareTakes, parseShare, help});
}

CLI::Option* addTime(CLI::App& command, double& target, const char* name, const char* help)
{
    return addValue<double>(command, target, {name, "MS", timeTakes, parsePositiveMs, help});
}

void addConfidence(CLI::App& command, double& target)
{
    addShare(command, target, "--confidence", "How sure the claim is to be (0.95)");
}

/// Where the words of all questions go.
struct Target
{
    ReckonArguments& arguments;
    bool& verbose;
};

/// Each question keeps its values until the words are read; the one that was asked then lands in
/// the arguments.
template<typename Question>
CLI::App* addQuestion(CLI::App& reckon, const Target& target,
    const std::shared_ptr<Question>& question, std::pair<const char*, const char*> nameAndHelp)
{
    CLI::App* command = reckon.add_subcommand(nameAndHelp.first, nameAndHelp.second);
    command->footer("Exit status: 0 done; 2 a word of the command is off; 5 the result cannot be "
                    "written.");
    command->add_flag("--verbose", target.verbose, "Write the log to standard error as well");
    addOutput(*command, target.arguments.jsonFile, "--json",
        "Write the answer as JSON; - is standard output");
    command->callback(
        [&arguments = target.arguments, question] { arguments.question = *question; });
    return command;
}

void addLate(CLI::App& reckon, const Target& target)
{
    const auto claim = std::make_shared<stats::LateClaim>();
    CLI::App* command = addQuestion(reckon, target, claim,
        {"late", "Presses so that 'at most SHARE of all are late' can be claimed"});
    addShare(*command, claim->share, "--share", "The share that the claim allows")->required();
    addConfidence(*command, claim->confidence);
    addValue<std::int64_t>(*command, claim->seen,
        {"--seen", "C", "a whole number from 0 to 1000000",
            [](const std::string& text) {
                constexpr std::int64_t most = 1'000'000;
                return parseWhole(text, most);
            },
            "Late or lost presses that may turn up (0)"});
}

void addLimits(CLI::App& reckon, const Target& target)
{
    const auto claim = std::make_shared<stats::LimitsClaim>();
    CLI::App* command = addQuestion(reckon, target, claim,
        {"limits", "Presses so that their extremes bound COVERAGE of all latencies"});
    addShare(*command, claim->coverage, "--coverage", "Share of all latencies to be bounded")
        ->required();
    addConfidence(*command, claim->confidence);
    command->add_flag_callback(
        "--two-sided", [claim] { claim->extremes = 2; },
        "The smallest and the largest press as limits, not the largest alone");
}

void addWidth(CLI::App& reckon, const Target& target)
{
    const auto claim = std::make_shared<stats::WidthClaim>();
    CLI::App* command = addQuestion(reckon, target, claim,
        {"width", "Presses so that a mean or median is known to +- HALF-WIDTH"});
    addTime(*command, claim->sdMs, "--sd", "Standard deviation of the latencies")->required();
    addTime(*command, claim->halfWidthMs, "--half-width", "Half width of the interval")->required();
    addConfidence(*command, claim->confidence);
    addValue<stats::Centre>(*command, claim->of,
        {"--of", "mean|median", "one of mean, median",
            oneOf<stats::Centre>(
                {{"mean", stats::Centre::Mean}, {"median", stats::Centre::Median}}),
            "What is to be known (mean)"});
}

void addDifference(CLI::App& reckon, const Target& target)
{
    const auto claim = std::make_shared<stats::DifferenceClaim>();
    CLI::App* command = addQuestion(reckon, target, claim,
        {"difference", "Presses of each setting so that a difference between two is told"});
    addTime(*command, claim->sdMs, "--sd", "Standard deviation within a setting")->required();
    addTime(*command, claim->differenceMs, "--difference", "Difference that is to be told")
        ->required();
    addShare(*command, claim->power, "--power", "Chance of telling it (0.8)");
    addConfidence(*command, claim->confidence);
}

void addLinkModel(CLI::App& command, link::LinkModel& model)
{
    constexpr auto video = "Video";
    addValue<double>(command, model.bitRateMbit,
        {"--bit-rate", "MBIT", positiveTakes, parsePositive, "Bit rate of the video, Mbit/s"})
        ->required()
        ->group(video);
    addValue<double>(
        command, model.frameRateHz, {"--frame-rate", "HZ", rateTakes, parseHz, "Frames a second"})
        ->required()
        ->group(video);
    addValue<link::PictureSize>(command, model.picture,
        {"--resolution", "WxH", "a picture size such as 960x720", parsePictureSize,
            "Size of the picture: tells the bits of a pixel"})
        ->group(video);
    constexpr auto air = "On the air";
    CLI::Option* airRate = addValue<double>(command, model.airRateMbit,
        {"--air-rate", "MBIT", positiveTakes, parsePositive,
            "Rate at which packets are sent, Mbit/s (from the channel width, else the bit rate)"});
    airRate->group(air);
    CLI::Option* width = addValue<double>(command, model.channelWidthMhz,
        {"--channel-width", "MHZ", positiveTakes, parsePositive, "Width of the channel, MHz"});
    width->group(air)->excludes(airRate);
    addValue<double>(command, model.efficiencyBitPerHz,
        {"--efficiency", "BITS", positiveTakes, parsePositive,
            "Bit/s that go over each Hz of the channel (2)"})
        ->group(air)
        ->needs(width);
    addValue<double>(command, model.packetBytes,
        {"--packet", "BYTES", "a number of bytes from 1, such as 1500", parseOneOrMore,
            "Size of a packet (1500)"})
        ->group(air);
    addValue<double>(command, model.loss,
        {"--loss", "P", "a share from 0 and below 1, such as 0.02", parseLoss,
            "Share of packets lost at each try (0)"})
        ->group(air);
    addValue<double>(command, model.roundTripMs,
        {"--round-trip", "MS", timeTakes, parsePositiveMs,
            "What one repeat costs, sending included (nothing is repeated when left out)"})
        ->group(air);
    addValue<double>(command, model.allowanceMs,
        {"--allowance", "MS", "a time in ms from 0 to 3600000, with a decimal point",
            parseNotNegativeMs, "Time that repeats may take (the slack of the frame interval)"})
        ->group(air);
}

/// A radio path in the place of --loss.
void addRadio(CLI::App& command, LinkQuestion& question)
{
    constexpr auto group = "Radio path, in the place of --loss";
    constexpr auto numberTakes = "a number, with a decimal point";
    CLI::Option* power = addValue<double>(command, question.powerMw,
        {"--power", "MW", positiveTakes, parsePositive,
            "Output power, mW (follow the radio rules of the place)"});
    power->group(group)
        ->excludes(command.get_option("--loss"))
        ->needs(command.get_option("--channel-width"));
    const auto add = [&](double& target, const OptionWords<double>& words) {
        return addValue<double>(command, target, words)->group(group)->needs(power);
    };
    power->needs(add(question.radio.path.distanceKm,
        {"--distance", "KM", positiveTakes, parsePositive, "Free path to the goggle, km"}));
    add(question.radio.path.frequencyMhz,
        {"--channel", "R1…R8|MHZ", "a race channel R1 to R8, or a frequency in MHz",
            parseChannelMhz, "Channel (5800 MHz)"});
    add(question.radio.transmission.antennaGainsDbi,
        {"--antenna-gains", "DBI", numberTakes, parseNumber,
            "Gains of both antennas together, dBi (0)"});
    add(question.radio.noiseFigureDb,
        {"--noise-figure", "DB", numberTakes, parseNumber, "Noise figure of the receiver, dB (6)"});
    add(question.radio.neededSnrDb,
        {"--needed-snr", "DB", numberTakes, parseNumber,
            "Signal over noise at which half of the packets are lost, dB (15)"});
    add(question.radio.curve.softnessDb,
        {"--softness", "DB", positiveTakes, parsePositive,
            "How softly the loss falls with the margin: 2.2 of these from a half to a tenth (1)"});
}

void addLink(CLI::App& reckon, const Target& target)
{
    const auto question = std::make_shared<LinkQuestion>();
    CLI::App* command = addQuestion(reckon, target, question,
        {"link",
            "What a link setting leaves room for: a model of retransmission in general, not of one "
            "radio"});
    addLinkModel(*command, question->model);
    addRadio(*command, *question);
    constexpr auto rest = "The rest of the way";
    addValue<double>(*command, question->parts.fixedMs,
        {"--fixed", "MS", "a time in ms from 0 to 3600000, with a decimal point",
            parseNotNegativeMs, "All that does not vary: encoding, decoding and the like (0)"})
        ->group(rest);
    addValue<double>(*command, question->parts.panelRateHz,
        {"--panel-rate", "HZ", rateTakes, parseHz,
            "Redraws of the panel (a frame shows on arrival when left out)"})
        ->group(rest);
    constexpr auto simulation = "Simulation beside the closed form";
    addValue<std::uint64_t>(*command, question->simulation.seed,
        {"--seed", "N", "a whole number from 0",
            [](const std::string& text) {
                return parseWhole(text, std::numeric_limits<std::uint64_t>::max());
            },
            "Seed of its random numbers (20010101)"})
        ->group(simulation);
    addValue<double>(*command, question->simulation.burstFactor,
        {"--bursts", "FACTOR", "a number from 1, such as 3", parseOneOrMore,
            "How many times longer bursts of lost packets are than independent losses make them "
            "(1); the simulation alone heeds it"})
        ->group(simulation);
}

} // namespace

void addReckon(CLI::App& program, bool& verbose, ReckonArguments& arguments)
{
    CLI::App* reckon = addCommand(program, verbose, "reckon",
        "How many presses a claim needs, and what a link setting leaves room for");
    reckon->require_subcommand(1);
    const Target target {arguments, verbose};
    addLate(*reckon, target);
    addLimits(*reckon, target);
    addWidth(*reckon, target);
    addDifference(*reckon, target);
    addLink(*reckon, target);
}

} // namespace twinlamp::app

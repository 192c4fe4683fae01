// SPDX-License-Identifier: GPL-3.0-or-later
// The words of `twinlamp session conditions`.
#include "app/command_line_conditions.h"

#include "app/option_values.h"

#include <utility>

namespace twinlamp::app {

namespace {

using commands::TellConditions;
using session::Conditions;
using Told = std::shared_ptr<TellConditions>;

/// Takes back what was told.
constexpr auto open = "open";

struct Words
{
    const char* name;
    const char* unit;
    const char* takes;
    const char* help;
};

template<typename Value, typename Parse>
CLI::Option* add(CLI::App& command, const Told& task, std::optional<Value> Conditions::*member,
    const Words& words, const Parse& parse)
{
    const auto tell = [task, member, words, parse](const std::string& text) {
        const std::optional<Value> value = text == open ? std::nullopt : parse(text);
        if (!value && text != open) {
            throw CLI::ValidationError(
                words.name, "'" + text + "' is not " + words.takes + ", or open");
        }
        task->told.emplace_back([member, value](Conditions& told) { told.*member = value; });
    };
    return command.add_option_function<std::string>(words.name, tell, words.help)
        ->type_name(words.unit);
}

CLI::Option* addText(CLI::App& command, const Told& task, std::string Conditions::*member,
    std::pair<const char*, const char*> nameAndHelp)
{
    const auto tell = [task, member](const std::string& text) {
        const std::string value = text == open ? std::string() : text;
        task->told.emplace_back([member, value](Conditions& told) { told.*member = value; });
    };
    return command.add_option_function<std::string>(nameAndHelp.first, tell, nameAndHelp.second)
        ->type_name("TEXT");
}

constexpr auto positiveTakes = "a number above 0, with a decimal point";
constexpr auto notNegativeTakes = "a number from 0, with a decimal point";
constexpr auto rateTakes = "a frame rate from 1 to 1000000, such as 60, 59.94 or 60000/1001";

std::optional<double> parseNotNegative(const std::string& text)
{
    const auto value = parseNumber(text);
    return value && *value >= 0.0 ? value : std::nullopt;
}

std::optional<double> parsePercent(const std::string& text)
{
    constexpr double all = 100.0;
    const auto value = parseNotNegative(text);
    return value && *value <= all ? value : std::nullopt;
}

void addResolution(CLI::App& command, const Told& task)
{
    const auto tell = [task](const std::string& text) {
        const auto size = text == open ? std::nullopt : parsePictureSize(text);
        if (!size && text != open) {
            throw CLI::ValidationError(
                "--resolution", "'" + text + "' is not a picture size such as 960x720, or open");
        }
        task->told.emplace_back([size](Conditions& told) {
            told.widthPx = size ? std::optional(static_cast<int>(size->widthPx)) : std::nullopt;
            told.heightPx = size ? std::optional(static_cast<int>(size->heightPx)) : std::nullopt;
        });
    };
    command
        .add_option_function<std::string>(
            "--resolution", tell, "Size of the picture that the link sends")
        ->type_name("WxH");
}

void addLink(CLI::App& command, const Told& task)
{
    addText(command, task, &Conditions::linkCamera, {"--link-camera", "The link's camera"});
    add(command, task, &Conditions::linkFrameRate,
        {"--link-frame-rate", "HZ", rateTakes, "Its frame rate"}, parseRate);
    add(command, task, &Conditions::linkExposureMs,
        {"--link-exposure", "MS", "a time in ms above 0 and up to 3600000, with a decimal point",
            "Its exposure"},
        parsePositiveMs);
    addResolution(command, task);
    add(command, task, &Conditions::bitRateMbit,
        {"--bit-rate", "MBIT", positiveTakes, "Bit rate of the video, Mbit/s"}, parsePositive);
    add(command, task, &Conditions::channelMhz,
        {"--channel", "R1…R8|MHZ", "a race channel R1 to R8, or a frequency in MHz",
            "Channel: its centre"},
        parseChannelMhz);
    add(command, task, &Conditions::channelWidthMhz,
        {"--channel-width", "MHZ", positiveTakes, "Width of the channel"}, parsePositive);
    add(command, task, &Conditions::outputPowerMw,
        {"--output-power", "MW", positiveTakes,
            "Output power (follow the radio rules of the place)"},
        parsePositive);
}

void addSurroundings(CLI::App& command, const Told& task)
{
    add(command, task, &Conditions::distanceM,
        {"--distance", "M", notNegativeTakes, "From transmitter to goggle"}, parseNotNegative);
    add(command, task, &Conditions::attenuationDb,
        {"--attenuation", "DB", notNegativeTakes, "Put between them"}, parseNotNegative);
    addText(command, task, &Conditions::interference,
        {"--interference", "Other transmitters on the air"});
    addText(command, task, &Conditions::goggle, {"--goggle", "The goggle"});
    add(command, task, &Conditions::brightnessPercent,
        {"--brightness", "PERCENT", "a number from 0 to 100", "Brightness of its panel"},
        parsePercent);
    add(command, task, &Conditions::panelRateHz,
        {"--panel-rate", "HZ", positiveTakes, "Redraws of the panel"}, parsePositive);
    addText(command, task, &Conditions::lampPlace,
        {"--lamp-place", "Where on the panel the lamp is seen: latency depends on it"});
    add(command, task, &Conditions::warmUpMinutes,
        {"--warm-up", "MINUTES", notNegativeTakes, "How long the link was on before"},
        parseNotNegative);
    addText(command, task, &Conditions::antenna, {"--antenna", "Antennas"});
    addText(command, task, &Conditions::firmware, {"--firmware", "Firmware or version"});
    addText(command, task, &Conditions::notes, {"--notes", "Anything else"});
}

} // namespace

void addConditions(CLI::App& command, const Told& task)
{
    command
        .add_option_function<std::string>(
            "SETTING", [task](const std::string& text) { task->setting = text; },
            "Name of a link setting")
        ->type_name("")
        ->required();
    command.add_flag("--new", task->isNew, "Make the setting");
    addLink(command, task);
    addSurroundings(command, task);
}

} // namespace twinlamp::app

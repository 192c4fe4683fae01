// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/condition_differences.h"

#include "core/report/figure_text.h"

#include <optional>
#include <string>

namespace twinlamp::report {

namespace {

/// Shortest text with up to three decimals.
std::string shortText(double value)
{
    constexpr int decimals = 3;
    std::string text = fixedText(value, decimals);
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') {
        text.pop_back();
    }
    return text;
}

template<typename Number> std::string withUnit(const std::optional<Number>& value, const char* unit)
{
    return value ? shortText(static_cast<double>(*value)) + " " + unit : std::string();
}

std::string sizeText(const session::Conditions& conditions)
{
    if (!conditions.widthPx && !conditions.heightPx) {
        return {};
    }
    const auto side
        = [](const std::optional<int>& px) { return px ? std::to_string(*px) : std::string("?"); };
    return side(conditions.widthPx) + " x " + side(conditions.heightPx);
}

std::string rateText(const std::optional<FrameRate>& rate)
{
    return rate ? toText(*rate) + " frames/s" : std::string();
}

struct Named
{
    const char* id;
    std::string text;
};

std::vector<Named> namedConditions(const session::Conditions& c)
{
    return {
        {"condition-link-camera", c.linkCamera},
        {"condition-link-frame-rate", rateText(c.linkFrameRate)},
        {"condition-link-exposure", withUnit(c.linkExposureMs, "ms")},
        {"condition-resolution", sizeText(c)},
        {"condition-bit-rate", withUnit(c.bitRateMbit, "Mbit/s")},
        {"condition-channel", withUnit(c.channelMhz, "MHz")},
        {"condition-channel-width", withUnit(c.channelWidthMhz, "MHz")},
        {"condition-output-power", withUnit(c.outputPowerMw, "mW")},
        {"condition-distance", withUnit(c.distanceM, "m")},
        {"condition-attenuation", withUnit(c.attenuationDb, "dB")},
        {"condition-interference", c.interference},
        {"condition-goggle", c.goggle},
        {"condition-brightness", withUnit(c.brightnessPercent, "%")},
        {"condition-panel-rate", withUnit(c.panelRateHz, "Hz")},
        {"condition-warm-up", withUnit(c.warmUpMinutes, "min")},
        {"condition-antenna", c.antenna},
        {"condition-firmware", c.firmware},
    };
}

} // namespace

std::string orNotTold(const std::string& text) { return text.empty() ? "not told" : text; }

std::vector<Sentence> conditionDifferences(
    const session::Conditions& a, const session::Conditions& b)
{
    const std::vector<Named> ofA = namedConditions(a);
    const std::vector<Named> ofB = namedConditions(b);
    std::vector<Sentence> differences;
    for (std::size_t i = 0; i < ofA.size(); ++i) {
        if (ofA[i].text != ofB[i].text) {
            differences.push_back({ofA[i].id, {orNotTold(ofA[i].text), orNotTold(ofB[i].text)}});
        }
    }
    return differences;
}

} // namespace twinlamp::report

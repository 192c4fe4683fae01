// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/link/airtime.h"

#include "core/base/contracts.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <string>

namespace twinlamp::link {

namespace {

std::string shortText(double value)
{
    std::array<char, 32> text {};
    const auto end = std::to_chars(text.data(), text.data() + text.size(), value);
    return {text.data(), end.ptr};
}

Result<void> outOfBounds(const char* what, double value, const char* bounds)
{
    return fail(Stage::Link, Cause::InvalidValue,
        std::string(what) + " is " + shortText(value) + "; it has to be " + bounds);
}

Result<void> positive(const char* what, std::optional<double> value)
{
    if (!value || (*value > 0.0 && std::isfinite(*value))) {
        return {};
    }
    return outOfBounds(what, *value, "larger than 0");
}

Result<void> checkPackets(const LinkModel& model)
{
    if (!(model.packetBytes >= 1.0) || !std::isfinite(model.packetBytes)) {
        return outOfBounds("the packet size", model.packetBytes, "1 byte or more");
    }
    if (!(model.loss >= 0.0 && model.loss < 1.0)) {
        return outOfBounds("the loss", model.loss, "0 or more and below 1");
    }
    if (model.allowanceMs && !(*model.allowanceMs >= 0.0 && std::isfinite(*model.allowanceMs))) {
        return outOfBounds("the allowance", *model.allowanceMs, "0 or more");
    }
    const double bits = model.bitRateMbit * 1e6 / model.frameRateHz;
    if (bits / (8.0 * model.packetBytes) > static_cast<double>(mostPackets)) {
        return fail(Stage::Link, Cause::InvalidValue,
            "a frame would take more than " + std::to_string(mostPackets)
                + " packets; check bit rate, frame rate and packet size");
    }
    return {};
}

Result<void> check(const LinkModel& model)
{
    return positive("the bit rate", model.bitRateMbit)
        .and_then([&] { return positive("the frame rate", model.frameRateHz); })
        .and_then([&] { return positive("the air rate", model.airRateMbit); })
        .and_then([&] { return positive("the channel width", model.channelWidthMhz); })
        .and_then([&] { return positive("the efficiency", model.efficiencyBitPerHz); })
        .and_then([&] { return positive("the round trip", model.roundTripMs); })
        .and_then([&] {
            return model.picture ? positive("the picture's width", model.picture->widthPx)
                                 : Result<void> {};
        })
        .and_then([&] {
            return model.picture ? positive("the picture's height", model.picture->heightPx)
                                 : Result<void> {};
        })
        .and_then([&] { return checkPackets(model); });
}

double airRateOf(const LinkModel& model, std::vector<Sentence>& assumptions)
{
    if (model.airRateMbit) {
        return *model.airRateMbit;
    }
    if (model.channelWidthMhz) {
        assumptions.push_back({"link-air-rate-from-width",
            {shortText(model.efficiencyBitPerHz), shortText(*model.channelWidthMhz)}});
        return *model.channelWidthMhz * model.efficiencyBitPerHz;
    }
    assumptions.push_back({"link-air-rate-is-bit-rate", {}});
    return model.bitRateMbit;
}

std::int64_t repeatsOf(const LinkModel& model, double slackMs, std::vector<Sentence>& assumptions)
{
    if (!model.roundTripMs) {
        assumptions.push_back({"link-no-repeats", {}});
        return 0;
    }
    if (!model.allowanceMs) {
        assumptions.push_back({"link-allowance-is-slack", {}});
    }
    const double allowance = std::max(0.0, model.allowanceMs.value_or(slackMs));
    // A hair: 0.3 / 0.1 is three repeats, though its quotient of doubles is less.
    constexpr double hair = 1e-9;
    const double repeats = std::floor(allowance / *model.roundTripMs * (1.0 + hair));
    return static_cast<std::int64_t>(std::min(repeats, static_cast<double>(mostRepeats)));
}

} // namespace

double doneWithin(std::int64_t rounds, std::int64_t packets, double loss)
{
    TL_EXPECTS(rounds >= 0 && packets >= 0 && loss >= 0.0 && loss < 1.0);
    if (rounds == 0) {
        return packets == 0 ? 1.0 : 0.0;
    }
    const double missing = std::pow(loss, static_cast<double>(rounds));
    return std::exp(static_cast<double>(packets) * std::log1p(-missing));
}

double meanRounds(std::int64_t packets, double loss)
{
    double sum = 0.0;
    double left = 1.0;
    for (std::int64_t rounds = 0; left > 1e-17 && rounds <= mostRepeats; ++rounds) {
        left = 1.0 - doneWithin(rounds, packets, loss);
        sum += left;
    }
    return sum;
}

Result<LinkFigures> linkFigures(const LinkModel& model)
{
    if (const auto checked = check(model); !checked) {
        return tl::unexpected(checked.error());
    }
    LinkFigures figures;
    figures.bitsPerFrame = model.bitRateMbit * 1e6 / model.frameRateHz;
    if (model.picture) {
        figures.bitsPerPixel
            = figures.bitsPerFrame / (model.picture->widthPx * model.picture->heightPx);
    }
    figures.airRateMbit = airRateOf(model, figures.assumptions);
    figures.frameIntervalMs = 1000.0 / model.frameRateHz;
    figures.sendMs = figures.bitsPerFrame / (figures.airRateMbit * 1e3);
    figures.slackMs = figures.frameIntervalMs - figures.sendMs;
    // Sent at its own bit rate a frame takes its interval to the last digit.
    if (std::abs(figures.slackMs) < 1e-12 * figures.frameIntervalMs) {
        figures.slackMs = 0.0;
    }
    figures.packets = std::max<std::int64_t>(1,
        static_cast<std::int64_t>(
            std::ceil(figures.bitsPerFrame / (8.0 * model.packetBytes) * (1.0 - 1e-12))));
    figures.repeatsInAllowance = repeatsOf(model, figures.slackMs, figures.assumptions);
    const std::int64_t tries = figures.repeatsInAllowance + 1;
    figures.meanTries
        = (1.0 - std::pow(model.loss, static_cast<double>(tries))) / (1.0 - model.loss);
    figures.airShare = figures.sendMs * figures.meanTries / figures.frameIntervalMs;
    figures.lateShare = 1.0 - doneWithin(tries, figures.packets, model.loss);
    if (figures.slackMs < 0.0) {
        figures.lateShare = 1.0;
        figures.assumptions.push_back({"link-overrun", {}});
    } else if (figures.airShare > 1.0 + 1e-12) {
        figures.assumptions.push_back({"link-overrun-by-repeats", {}});
    }
    figures.assumptions.push_back({"link-packets", {shortText(model.packetBytes)}});
    figures.assumptions.push_back({"link-independent-loss", {}});
    figures.assumptions.push_back({"link-rounds", {}});
    figures.assumptions.push_back({"link-general", {}});
    return figures;
}

} // namespace twinlamp::link

// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/reckon_command.h"

#include "app/commands/output_file.h"
#include "core/report/figure_text.h"
#include "core/report/json_writer.h"
#include "core/report/text_table.h"
#include "core/stats/moments.h"
#include "core/stats/quantile.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <utility>

namespace twinlamp::commands {

namespace {

using report::Json;

/// The same answer twice.
struct Answer
{
    std::string text;
    Json json;
};

Json sentencesJson(const std::vector<Sentence>& sentences)
{
    Json texts = Json::array();
    for (const Sentence& sentence : sentences) {
        texts.push_back(english(sentence));
    }
    return texts;
}

std::string sentencesText(const std::vector<Sentence>& sentences)
{
    std::string text = "taken for granted:\n";
    for (const Sentence& sentence : sentences) {
        text += "- " + english(sentence) + "\n";
    }
    return text;
}

/// What `reached` of a plan is.
const char* reachedWord(const ReckonArguments& arguments)
{
    return std::holds_alternative<stats::DifferenceClaim>(arguments.question) ? "power"
                                                                              : "confidence";
}

Answer answerOf(const stats::Plan& plan, const char* reached)
{
    constexpr int decimals = 2;
    Answer answer;
    answer.text = "presses: " + std::to_string(plan.presses) + "\n" + reached
        + " reached: " + report::fixedText(100.0 * plan.reached, decimals) + " %\n"
        + sentencesText(plan.assumptions);
    answer.json["presses"] = plan.presses;
    answer.json["reached"] = plan.reached;
    answer.json["assumptions"] = sentencesJson(plan.assumptions);
    return answer;
}

/// Mean, SD and quantiles of a latency, however they came about.
struct LatencyFigures
{
    double meanMs = 0.0;
    double sdMs = 0.0;
    std::vector<std::pair<const char*, double>> quantilesMs; ///< by key
};

struct NamedShare
{
    const char* key;
    double share;
};

constexpr std::array quantiles {NamedShare {"p5_ms", 0.05}, NamedShare {"p25_ms", 0.25},
    NamedShare {"median_ms", 0.5}, NamedShare {"p75_ms", 0.75}, NamedShare {"p95_ms", 0.95},
    NamedShare {"p99_ms", 0.99}};

LatencyFigures figuresOf(const link::LatencyDistribution& distribution)
{
    LatencyFigures figures {distribution.meanMs(), distribution.sdMs(), {}};
    for (const NamedShare& quantile : quantiles) {
        figures.quantilesMs.emplace_back(quantile.key, distribution.quantileMs(quantile.share));
    }
    return figures;
}

std::optional<LatencyFigures> figuresOf(std::vector<double> latenciesMs)
{
    const auto sd = stats::standardDeviation(latenciesMs);
    if (!sd) {
        return std::nullopt;
    }
    LatencyFigures figures {stats::mean(latenciesMs).value_or(0.0), *sd, {}};
    std::ranges::sort(latenciesMs);
    for (const NamedShare& quantile : quantiles) {
        figures.quantilesMs.emplace_back(
            quantile.key, stats::quantileType7(latenciesMs, quantile.share).value_or(0.0));
    }
    return figures;
}

Json latencyJson(const std::optional<LatencyFigures>& figures)
{
    if (!figures) {
        return nullptr;
    }
    Json json;
    json["mean_ms"] = figures->meanMs;
    json["sd_ms"] = figures->sdMs;
    for (const auto& [key, value] : figures->quantilesMs) {
        json[key] = value;
    }
    return json;
}

// Both ways side by side, a figure a line: read against each other, they say whether to trust them.
std::string latencyText(
    const std::optional<LatencyFigures>& closed, const LatencyFigures& simulated)
{
    constexpr int decimals = 2;
    report::TextTable table({{"latency, ms", report::Align::Left}, {"closed form"}, {"simulated"}});
    const auto addRow = [&](std::string name, double ofClosed, double ofSimulated) {
        table.addRow({std::move(name), closed ? report::fixedText(ofClosed, decimals) : "-",
            report::fixedText(ofSimulated, decimals)});
    };
    const LatencyFigures none;
    const LatencyFigures& first = closed ? *closed : none;
    addRow("mean", first.meanMs, simulated.meanMs);
    addRow("SD", first.sdMs, simulated.sdMs);
    for (std::size_t i = 0; i < simulated.quantilesMs.size(); ++i) {
        const std::string name(simulated.quantilesMs[i].first);
        addRow(name.substr(0, name.size() - std::string_view("_ms").size()),
            closed ? first.quantilesMs[i].second : 0.0, simulated.quantilesMs[i].second);
    }
    return table.text() + (closed ? "" : "closed form: none, nearly every frame is late\n");
}

Json linkJson(const link::LinkFigures& figures)
{
    Json json;
    json["bits_per_frame"] = figures.bitsPerFrame;
    json["bits_per_pixel"] = figures.bitsPerPixel ? Json(*figures.bitsPerPixel) : Json(nullptr);
    json["air_rate_mbit"] = figures.airRateMbit;
    json["packets"] = figures.packets;
    json["frame_interval_ms"] = figures.frameIntervalMs;
    json["send_ms"] = figures.sendMs;
    json["slack_ms"] = figures.slackMs;
    json["repeats_in_allowance"] = figures.repeatsInAllowance;
    json["mean_tries"] = figures.meanTries;
    json["air_share"] = figures.airShare;
    json["late_share"] = figures.lateShare;
    return json;
}

std::string linkText(const link::LinkFigures& figures)
{
    const auto fixed
        = [](double value, int decimals) { return report::fixedText(value, decimals); };
    std::string text = "bits of a frame: " + fixed(figures.bitsPerFrame, 0)
        + (figures.bitsPerPixel ? " (" + fixed(*figures.bitsPerPixel, 3) + " a pixel)" : "")
        + ", in packets: " + std::to_string(figures.packets) + "\n";
    text += "time to send: " + fixed(figures.sendMs, 2) + " ms at " + fixed(figures.airRateMbit, 2)
        + " Mbit/s, slack: " + fixed(figures.slackMs, 2) + " of "
        + fixed(figures.frameIntervalMs, 2) + " ms\n";
    text += "repeats that fit: " + std::to_string(figures.repeatsInAllowance)
        + ", on the air: " + fixed(100.0 * figures.airShare, 1)
        + " % of the time, late frames: " + fixed(100.0 * figures.lateShare, 3) + " %\n";
    return text;
}

/// The question with the loss that its radio path makes.
LinkQuestion withRadioLoss(LinkQuestion question)
{
    if (question.powerMw) {
        question.radio.transmission.powerDbm = link::dbmOf(*question.powerMw);
        question.radio.channelWidthMhz
            = question.model.channelWidthMhz.value_or(question.radio.channelWidthMhz);
        question.model.loss = link::lossOf(question.radio);
    }
    return question;
}

Json radioJson(const LinkQuestion& question)
{
    if (!question.powerMw) {
        return nullptr;
    }
    Json json;
    json["received_dbm"] = link::receivedDbm(question.radio.transmission, question.radio.path);
    json["noise_dbm"]
        = link::thermalNoiseDbm(question.radio.channelWidthMhz) + question.radio.noiseFigureDb;
    json["margin_db"] = link::marginDb(question.radio);
    json["loss"] = question.model.loss;
    return json;
}

Sentence radioSentence(const LinkQuestion& question)
{
    const link::RadioLink& radio = question.radio;
    const double toTenth = radio.curve.halfLostDb + std::log(9.0) * radio.curve.softnessDb;
    constexpr int lossDecimals = 4;
    const auto oneDecimal = [](double value) { return report::fixedText(value, 1); };
    return {"link-radio",
        {report::fixedText(question.model.loss, lossDecimals),
            oneDecimal(link::receivedDbm(radio.transmission, radio.path)),
            oneDecimal(link::marginDb(radio)), oneDecimal(radio.curve.halfLostDb),
            oneDecimal(toTenth)}};
}

Result<Answer> answerOf(const LinkQuestion& asked)
{
    const LinkQuestion question = withRadioLoss(asked);
    auto figures = link::linkFigures(question.model);
    if (!figures) {
        return tl::unexpected(figures.error());
    }
    if (question.powerMw) {
        figures->assumptions.insert(figures->assumptions.begin(), radioSentence(question));
    }
    const auto closed = link::latencyDistribution(question.model, question.parts);
    if (!closed) {
        return tl::unexpected(closed.error());
    }
    const auto simulated = link::simulateLink(question.model, question.parts, question.simulation);
    if (!simulated) {
        return tl::unexpected(simulated.error());
    }
    const auto closedFigures
        = *closed ? std::optional(figuresOf(**closed)) : std::optional<LatencyFigures> {};
    const auto simulatedFigures = figuresOf(simulated->latenciesMs);
    Answer answer {linkText(*figures), linkJson(*figures)};
    answer.json["radio"] = radioJson(question);
    answer.json["latency"] = latencyJson(closedFigures);
    Json beside;
    beside["presses"] = simulated->latenciesMs.size();
    beside["seed"] = question.simulation.seed;
    beside["burst_factor"] = question.simulation.burstFactor;
    beside["late_share"] = simulated->lateShare;
    beside["latency"] = latencyJson(simulatedFigures);
    answer.json["simulated"] = std::move(beside);
    answer.json["assumptions"] = sentencesJson(figures->assumptions);
    constexpr int decimals = 3;
    answer.text += (simulatedFigures ? latencyText(closedFigures, *simulatedFigures)
                                     : "latency: none, nearly every frame is late\n")
        + std::string("late frames, simulated: ")
        + report::fixedText(100.0 * simulated->lateShare, decimals) + " %\n"
        + sentencesText(figures->assumptions);
    return answer;
}

struct Answering
{
    const char* reached;

    Result<Answer> operator()(const stats::LateClaim& claim) const
    {
        return ofPlan(stats::latePlan(claim));
    }

    Result<Answer> operator()(const stats::LimitsClaim& claim) const
    {
        return ofPlan(stats::limitsPlan(claim));
    }

    Result<Answer> operator()(const stats::WidthClaim& claim) const
    {
        return ofPlan(stats::widthPlan(claim));
    }

    Result<Answer> operator()(const stats::DifferenceClaim& claim) const
    {
        return ofPlan(stats::differencePlan(claim));
    }

    Result<Answer> operator()(const LinkQuestion& question) const { return answerOf(question); }

private:
    [[nodiscard]] Result<Answer> ofPlan(const Result<stats::Plan>& plan) const
    {
        if (!plan) {
            return tl::unexpected(plan.error());
        }
        return answerOf(*plan, reached);
    }
};

} // namespace

ExitStatus runReckon(const ReckonArguments& arguments, const CommandContext& context)
{
    const auto answer = std::visit(Answering {reachedWord(arguments)}, arguments.question);
    if (!answer) {
        return reportError(context, answer.error());
    }
    const auto written = arguments.jsonFile.empty()
        ? writeOutput(context, "-", answer->text)
        : writeOutput(context, arguments.jsonFile, report::toText(answer->json));
    return written ? ExitStatus::Done : reportError(context, written.error());
}

} // namespace twinlamp::commands

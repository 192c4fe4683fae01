// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/fair_test.h"

#include "core/base/wire_names.h"
#include "core/report/condition_differences.h"
#include "core/report/figure_text.h"
#include "core/stats/trend/phase_coverage.h"
#include "core/stats/trend/sawtooth.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <set>
#include <string>
#include <vector>

namespace twinlamp::report {

namespace {

using FactOf = std::function<std::string(const ClipPresses&)>;

std::string msText(double ms) { return exactMsText(latencyFromMs(ms).ns) + " ms"; }

std::string edgesText(const ClipPresses& clip) { return std::string(wireName(clip.options.edges)); }

std::string zeroText(const ClipPresses& clip)
{
    const measure::MeasureOptions& options = clip.options;
    const std::string& date = options.fromRig.zeroCheckDate;
    if (date.empty() && options.zeroMs == 0.0) {
        return "none";
    }
    return msText(options.zeroMs) + (date.empty() ? std::string() : " of " + date);
}

std::string timeBaseText(const ClipPresses& clip)
{
    const std::string& date = clip.options.fromRig.timeBaseCheckDate;
    return date.empty() ? "none" : date;
}

/// An estimate differs a little from clip to clip without anything being changed.
std::string exposureText(const ClipPresses& clip)
{
    const bool isGiven = clip.facts.exposureSource == ExposureSource::Given;
    return isGiven && clip.facts.exposureMs ? msText(*clip.facts.exposureMs)
                                            : std::string(wireName(clip.facts.exposureSource));
}

std::string lineTimeText(const ClipPresses& clip)
{
    constexpr int decimals = 3;
    const bool isGiven = clip.facts.lineTimeSource == LineTimeSource::Given;
    return isGiven && clip.facts.lineTimeUs ? fixedText(*clip.facts.lineTimeUs, decimals) + " us"
                                            : std::string(wireName(clip.facts.lineTimeSource));
}

std::string curveText(const ClipPresses& clip)
{
    return clip.options.transfer ? std::string(wireName(*clip.options.transfer))
                                 : std::string("as the file says");
}

/// The different values over a setting's clips, in alphabetical order.
std::string valuesOf(const SettingPresses& setting, const FactOf& factOf)
{
    std::set<std::string> values;
    for (const ClipPresses& clip : setting.clips) {
        values.insert(factOf(clip));
    }
    std::string text;
    for (const std::string& value : values) {
        text += (text.empty() ? "" : "; ") + value;
    }
    return text;
}

/// Adds the sentence and returns true where the settings differ in a fact.
bool noteDifference(const SettingPresses& a, const SettingPresses& b, const char* id,
    const FactOf& factOf, std::vector<Sentence>& sentences)
{
    const std::string ofA = valuesOf(a, factOf);
    const std::string ofB = valuesOf(b, factOf);
    if (ofA == ofB || a.clips.empty() || b.clips.empty()) {
        return false;
    }
    sentences.push_back({id, {ofA, ofB}});
    return true;
}

/// Mean over the counted presses of what is the same error in all presses of a clip.
double commonVarianceMs2(const SettingPresses& setting)
{
    double sum = 0.0;
    double count = 0.0;
    for (const ClipPresses& clip : setting.clips) {
        for (const Press& press : clip.presses) {
            if (!press.accepted || press.edge != Edge::On || !press.latency) {
                continue;
            }
            count += 1.0;
            for (const UncertaintyPart& part : press.parts) {
                sum += part.commonToAll ? part.standardMs * part.standardMs : 0.0;
            }
        }
    }
    return count > 0.0 ? sum / count : 0.0;
}

/// What tells whether two settings were filmed with the same rig and checks, as ids and values.
struct RigFact
{
    const char* id;
    FactOf factOf;
};

std::array<RigFact, 4> rigFacts()
{
    const auto rigText = [](const ClipPresses& clip) { return orNotTold(clip.rigName); };
    const auto rateText
        = [](const ClipPresses& clip) { return toText(clip.facts.captureRate) + " frames/s"; };
    return {{{"fair-rig", rigText}, {"fair-capture-rate", rateText}, {"fair-zero-check", zeroText},
        {"fair-time-base", timeBaseText}}};
}

void noteRigs(const SettingPresses& a, const SettingPresses& b, FairTest& test)
{
    for (const RigFact& fact : rigFacts()) {
        const bool differs = noteDifference(a, b, fact.id, fact.factOf, test.sentences);
        test.rigsDiffer = test.rigsDiffer || differs;
    }
    if (test.rigsDiffer) {
        test.rigVarianceMs2 = commonVarianceMs2(a) + commonVarianceMs2(b);
        constexpr int decimals = 3;
        test.sentences.push_back(
            {"fair-rig-doubt", {fixedText(std::sqrt(test.rigVarianceMs2), decimals)}});
    }
}

void noteOptions(const SettingPresses& a, const SettingPresses& b, FairTest& test)
{
    std::vector<Sentence>& sentences = test.sentences;
    noteDifference(a, b, "fair-exposure", exposureText, sentences);
    noteDifference(a, b, "fair-line-time", lineTimeText, sentences);
    noteDifference(a, b, "fair-edges-measured", edgesText, sentences);
    noteDifference(
        a, b, "fair-search", [](const ClipPresses& clip) { return msText(clip.options.searchMs); },
        sentences);
    noteDifference(a, b, "fair-curve", curveText, sentences);
    if (a.conditions.lampPlace != b.conditions.lampPlace) {
        sentences.push_back({"fair-lamp-place",
            {orNotTold(a.conditions.lampPlace), orNotTold(b.conditions.lampPlace)}});
    }
}

void noteClips(const char* letter, const SettingPresses& setting, FairTest& test)
{
    if (setting.clipsNotMeasured > 0) {
        test.sentences.push_back(
            {"fair-not-measured", {letter, std::to_string(setting.clipsNotMeasured)}});
    }
    if (setting.clipsOutOfDate > 0) {
        test.sentences.push_back(
            {"fair-out-of-date", {letter, std::to_string(setting.clipsOutOfDate)}});
    }
    const auto withoutRig
        = std::ranges::count_if(setting.clips, [](const ClipPresses& clip) { return !clip.rig; });
    if (withoutRig > 0) {
        test.sentences.push_back({"fair-no-rig", {letter, std::to_string(withoutRig)}});
    }
}

/// Presses of one clip: instants of two clips have no common zero.
struct ClipPhases
{
    std::string file;
    std::vector<double> atMs;
    stats::TimedLatencies answered;
    double captureRateHz = 0.0;
};

ClipPhases phasesOf(const ClipPresses& clip)
{
    ClipPhases phases;
    phases.file = clip.file;
    phases.captureRateHz = clip.facts.captureRate.hz();
    for (const Press& press : clip.presses) {
        if (!press.accepted || press.edge != Edge::On || !press.reference) {
            continue;
        }
        phases.atMs.push_back(toMs(*press.reference));
        if (press.latency) {
            phases.answered.atMs.push_back(phases.atMs.back());
            phases.answered.latencyMs.push_back(toMs(*press.latency));
        }
    }
    return phases;
}

/// The label of a frame rate is off by some parts in a million, which smears phases over minutes:
/// where the clip shows a sawtooth, its period is taken.
double frameMsOf(const ClipPhases& phases, FrameRate toldRate)
{
    stats::SawtoothSearch search;
    search.toldRateHz = toldRate.hz();
    search.captureRateHz = phases.captureRateHz;
    const std::vector<stats::TimedLatencies> one {phases.answered};
    const auto found = stats::sawtooth(one, search);
    return found && found->shows ? found->periodMs : toldRate.intervalMs();
}

/// Fewer presses tell nothing about their phases (phase_coverage.h: the p-value is good from 5 on).
constexpr std::size_t fewestForPhase = 5;
constexpr double phaseError = 0.01;

void notePhases(const char* letter, const SettingPresses& setting, FairTest& test)
{
    const auto rate = setting.linkFrameRate();
    if (!rate) {
        test.sentences.push_back({"fair-phase-no-rate", {letter}});
        return;
    }
    double clips = 0.0;
    double smallest = std::numeric_limits<double>::infinity();
    std::string file;
    for (const ClipPresses& clip : setting.clips) {
        const ClipPhases phases = phasesOf(clip);
        if (phases.atMs.size() < fewestForPhase) {
            continue;
        }
        const auto coverage = stats::phaseCoverage(phases.atMs, frameMsOf(phases, *rate));
        clips += 1.0;
        if (coverage && coverage->pValue < smallest) {
            smallest = coverage->pValue;
            file = phases.file;
        }
    }
    const std::string frame = fixedText(rate->intervalMs(), 2);
    if (clips == 0.0) {
        test.sentences.push_back({"fair-phase-few", {letter, std::to_string(fewestForPhase)}});
    } else if (smallest * clips < phaseError) {
        test.sentences.push_back({"fair-phase-in-step", {letter, file, frame}});
    } else {
        test.sentences.push_back({"fair-phase-spread", {letter, frame}});
    }
}

} // namespace

double largestRigVarianceMs2(std::span<const SettingPresses> settings)
{
    struct Rigs
    {
        std::vector<std::string> facts;
        double varianceMs2 = 0.0;
    };

    std::vector<Rigs> all;
    for (const SettingPresses& setting : settings) {
        if (setting.clips.empty()) {
            continue;
        }
        Rigs& rigs = all.emplace_back();
        rigs.varianceMs2 = commonVarianceMs2(setting);
        for (const RigFact& fact : rigFacts()) {
            rigs.facts.push_back(valuesOf(setting, fact.factOf));
        }
    }
    double largest = 0.0;
    for (std::size_t i = 0; i < all.size(); ++i) {
        for (std::size_t k = i + 1; k < all.size(); ++k) {
            if (all[i].facts != all[k].facts) {
                largest = std::max(largest, all[i].varianceMs2 + all[k].varianceMs2);
            }
        }
    }
    return largest;
}

FairTest fairTest(const SettingPresses& a, const SettingPresses& b)
{
    FairTest test;
    noteRigs(a, b, test);
    noteOptions(a, b, test);
    if (test.sentences.empty() && !a.clips.empty() && !b.clips.empty()) {
        test.sentences.push_back({"fair-alike", {}});
    }
    noteClips("A", a, test);
    noteClips("B", b, test);
    notePhases("A", a, test);
    notePhases("B", b, test);
    test.conditions = conditionDifferences(a.conditions, b.conditions);
    test.sentences.insert(test.sentences.end(), test.conditions.begin(), test.conditions.end());
    if (test.conditions.empty()) {
        test.sentences.push_back({"fair-no-condition", {}});
    } else if (test.conditions.size() > 1) {
        test.sentences.push_back(
            {"fair-several-conditions", {std::to_string(test.conditions.size())}});
    }
    return test;
}

} // namespace twinlamp::report

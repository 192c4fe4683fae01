// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/comparison_sentences.h"

#include "core/report/figure_text.h"
#include "core/report/setting_comparison.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::report {

namespace {

using stats::ComparedFigure;
using stats::FigureVerdict;
using stats::RunComparison;
using stats::Verdict;

struct EndTexts
{
    std::string value;
    std::string low;
    std::string high;
};

/// A figure and its interval, with the digits that the interval carries. @pre both ends
EndTexts endTexts(const stats::Estimate& estimate, double scale = 1.0)
{
    const double low = scale * *estimate.interval.low;
    const double high = scale * *estimate.interval.high;
    const int decimals = decimalsFor((high - low) / 2.0);
    return {fixedText(scale * estimate.value, decimals), fixedText(low, decimals),
        fixedText(high, decimals)};
}

const char* verdictId(ComparedFigure figure, Verdict verdict)
{
    switch (figure) {
    case ComparedFigure::Shift:
        return verdict == Verdict::ALess     ? "compare-a-faster"
            : verdict == Verdict::BLess      ? "compare-b-faster"
            : verdict == Verdict::SameWithin ? "compare-same-within"
                                             : "compare-shift-undecided";
    case ComparedFigure::Spread:
        return verdict == Verdict::ALess ? "compare-a-steadier"
            : verdict == Verdict::BLess  ? "compare-b-steadier"
                                         : "compare-spread-undecided";
    case ComparedFigure::LateShare:
        break;
    }
    return verdict == Verdict::ALess ? "compare-a-less-late"
        : verdict == Verdict::BLess  ? "compare-b-less-late"
                                     : "compare-late-undecided";
}

void addOnce(std::vector<Sentence>& sentences, const Sentence& sentence)
{
    if (std::ranges::find(sentences, sentence) == sentences.end()) {
        sentences.push_back(sentence);
    }
}

/// The verdict with its figures, and why it is undecided where it is.
void sayFigure(const SettingComparison& comparison, ComparedFigure figure,
    const FigureVerdict& verdict, std::vector<Sentence>& sentences)
{
    const RunComparison& byRuns = verdict.byRuns;
    const stats::Interval& interval = byRuns.difference.interval;
    if (interval.low && interval.high) {
        constexpr double percent = 100.0;
        const bool isShare = figure == ComparedFigure::LateShare;
        const EndTexts ends = endTexts(byRuns.difference, isShare ? percent : 1.0);
        const bool isSame = byRuns.verdict == Verdict::SameWithin;
        std::vector<std::string> values {ends.value, ends.low, ends.high,
            pValueText(isSame ? *byRuns.samePValue : *byRuns.pValue)};
        if (isShare) {
            values.push_back(exactMsText(comparison.lateLimit->ns));
        } else if (isSame) {
            values.push_back(exactMsText(latencyFromMs(*comparison.marginMs).ns));
        }
        sentences.push_back({verdictId(figure, byRuns.verdict), std::move(values)});
    }
    if (verdict.heldBack) {
        sentences.push_back({"compare-held-back", {std::to_string(comparison.byRuns.questions)}});
    }
    if (byRuns.verdict == Verdict::Undecided && byRuns.reason) {
        addOnce(sentences, *byRuns.reason);
    }
}

void say(const std::optional<Sentence>& sentence, std::vector<Sentence>& sentences)
{
    if (sentence) {
        sentences.push_back(*sentence);
    }
}

std::string pressesOf(const ComparedSetting& setting)
{
    return std::to_string(setting.summary.n + setting.summary.noResponse);
}

} // namespace

bool hasValue(const RunComparison& comparison)
{
    const bool isLeftOut = comparison.reason
        && (comparison.reason->id == "compare-run-lost"
            || comparison.reason->id == "compare-no-spread");
    return comparison.runsA > 0 && comparison.runsB > 0 && !isLeftOut;
}

std::string pValueText(double pValue)
{
    constexpr double smallest = 0.001;
    constexpr int decimals = 3;
    return pValue < smallest ? "< 0.001" : fixedText(pValue, decimals);
}

std::optional<Sentence> lateSentence(const std::string& name, const ComparedSetting& setting)
{
    const stats::Summary& s = setting.summary;
    if (!s.late || !s.lateShare) {
        return std::nullopt;
    }
    const auto percent = [](double share) { return fixedText(100.0 * share, 1); };
    const std::string presses = std::to_string(s.n + s.noResponse);
    const std::string missed = percent(setting.details.largestMissedShare);
    if (*s.late == 0) {
        return Sentence {"late-none-missed", {name, presses, missed}};
    }
    return Sentence {"late-some-missed",
        {name, std::to_string(*s.late), presses, percent(*s.lateShare), percent(*s.lateLow),
            percent(*s.lateHigh), missed}};
}

std::optional<Sentence> outliersSentence(const std::string& name, const ComparedSetting& setting)
{
    std::string list;
    for (const stats::NamedOutlier& outlier : setting.details.outliers) {
        const ClipTimes& clip = setting.clips[outlier.clip];
        list += (list.empty() ? "" : ", ") + clip.file + " press "
            + std::to_string(outlier.press + 1) + " (" + fixedText(outlier.latencyMs, 1) + " ms)";
    }
    return list.empty() ? std::nullopt : std::optional(Sentence {"outliers-named", {name, list}});
}

std::vector<Sentence> comparisonSentences(const SettingComparison& comparison)
{
    const stats::SettingsComparison& byRuns = comparison.byRuns;
    std::vector<Sentence> sentences;
    sentences.push_back({"compare-settings",
        {comparison.a.name, pressesOf(comparison.a), std::to_string(comparison.a.runs),
            comparison.b.name, pressesOf(comparison.b), std::to_string(comparison.b.runs)}});
    sayFigure(comparison, ComparedFigure::Shift, byRuns.shift, sentences);
    if (comparison.effect && comparison.effect->delta.interval.low) {
        const EndTexts delta = endTexts(comparison.effect->delta);
        constexpr double percent = 100.0;
        sentences.push_back({"compare-effect",
            {fixedText(percent * comparison.effect->chance, 0), delta.value, delta.low,
                delta.high}});
    }
    sayFigure(comparison, ComparedFigure::Spread, byRuns.spread, sentences);
    if (byRuns.late) {
        sayFigure(comparison, ComparedFigure::LateShare, *byRuns.late, sentences);
        say(lateSentence("A", comparison.a), sentences);
        say(lateSentence("B", comparison.b), sentences);
    }
    say(outliersSentence("A", comparison.a), sentences);
    say(outliersSentence("B", comparison.b), sentences);
    sentences.push_back({"compare-blocks", {}});
    if (byRuns.questions > 1) {
        sentences.push_back({"compare-together", {std::to_string(byRuns.questions)}});
    }
    sentences.push_back({"compare-independent-beside", {}});
    sentences.push_back({"compare-edges", {}});
    sentences.insert(
        sentences.end(), comparison.fair.sentences.begin(), comparison.fair.sentences.end());
    return sentences;
}

} // namespace twinlamp::report

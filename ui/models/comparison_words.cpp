// SPDX-License-Identifier: GPL-3.0-or-later
// Verdicts and sentences; the tables are in comparison_tables.cpp.
#include "ui/models/comparison_words.h"

#include "ui/widgets/figures.h"

#include <QCoreApplication>

#include <algorithm>
#include <string_view>

namespace twinlamp::ui {

namespace {

using stats::ComparedFigure;
using stats::FigureVerdict;
using stats::Verdict;

class Words
{
    Q_DECLARE_TR_FUNCTIONS(Compare)

public:
    static QString question(ComparedFigure figure)
    {
        switch (figure) {
        case ComparedFigure::Shift:
            return tr("Which is faster?");
        case ComparedFigure::Spread:
            return tr("Which is steadier?");
        case ComparedFigure::LateShare:
            break;
        }
        return tr("Which is less often late?");
    }

    static QString told(ComparedFigure figure, const QString& letter)
    {
        switch (figure) {
        case ComparedFigure::Shift:
            return tr("%1 is faster").arg(letter);
        case ComparedFigure::Spread:
            return tr("%1 is steadier").arg(letter);
        case ComparedFigure::LateShare:
            break;
        }
        return tr("%1 is less often late").arg(letter);
    }

    static QString same(double marginMs)
    {
        return tr("The same within %1").arg(QString::number(marginMs) + thinSpace + u"ms");
    }

    static QString undecided() { return tr("Cannot tell yet"); }

    static QString needed(const stats::NeededRuns& needed)
    {
        return tr("Would tell: about %1 runs with %2 presses in each setting.")
            .arg(needed.runs)
            .arg(needed.presses);
    }

    static QString noLimit()
    {
        return tr("No late limit is set. Give one above, and late and lost presses are compared.");
    }
};

bool isVerdict(const Sentence& sentence)
{
    constexpr std::array<std::string_view, 16> ids {"compare-a-faster", "compare-b-faster",
        "compare-same-within", "compare-shift-undecided", "compare-a-steadier",
        "compare-b-steadier", "compare-spread-undecided", "compare-a-less-late",
        "compare-b-less-late", "compare-late-undecided", "compare-held-back", "compare-few-runs",
        "compare-run-lost", "compare-not-told", "compare-no-difference", "compare-no-spread"};
    return std::ranges::find(ids, sentence.id) != ids.end();
}

/// The sentence with the figures of one question.
bool isAbout(const Sentence& sentence, ComparedFigure figure)
{
    const std::string_view id = sentence.id;
    switch (figure) {
    case ComparedFigure::Shift:
        return id.ends_with("-faster") || id == "compare-same-within"
            || id == "compare-shift-undecided";
    case ComparedFigure::Spread:
        return id.ends_with("-steadier") || id == "compare-spread-undecided";
    case ComparedFigure::LateShare:
        break;
    }
    return id.ends_with("-less-late") || id == "compare-late-undecided";
}

VerdictWords wordsOf(const report::SettingComparison& comparison, ComparedFigure figure,
    const FigureVerdict& verdict)
{
    const stats::RunComparison& byRuns = verdict.byRuns;
    VerdictWords words;
    words.question = Words::question(figure);
    words.isTold = byRuns.verdict != Verdict::Undecided;
    switch (byRuns.verdict) {
    case Verdict::ALess:
    case Verdict::BLess:
        words.answer
            = Words::told(figure, QLatin1String(byRuns.verdict == Verdict::ALess ? "A" : "B"));
        break;
    case Verdict::SameWithin:
        words.answer = Words::same(comparison.marginMs.value_or(0.0));
        break;
    case Verdict::Undecided:
        words.answer = Words::undecided();
        break;
    }
    for (const Sentence& sentence : comparison.sentences) {
        if (isAbout(sentence, figure)) {
            words.sentences << sentenceText(sentence);
        }
    }
    if (verdict.heldBack) {
        words.sentences << sentenceText(
            {"compare-held-back", {std::to_string(comparison.byRuns.questions)}});
    }
    if (!words.isTold && byRuns.needed) {
        words.needed = Words::needed(*byRuns.needed);
    } else if (!words.isTold && byRuns.reason) {
        words.sentences << sentenceText(*byRuns.reason);
    }
    return words;
}

QStringList textsOf(const std::vector<Sentence>& sentences)
{
    QStringList texts;
    for (const Sentence& sentence : sentences) {
        texts << sentenceText(sentence);
    }
    return texts;
}

bool isAmong(const std::vector<Sentence>& sentences, const Sentence& sentence)
{
    return std::ranges::find(sentences, sentence) != sentences.end();
}

} // namespace

QString sentenceText(const Sentence& sentence) { return QString::fromStdString(english(sentence)); }

std::vector<VerdictWords> verdictWords(const report::SettingComparison& comparison)
{
    std::vector<VerdictWords> words {
        wordsOf(comparison, ComparedFigure::Shift, comparison.byRuns.shift),
        wordsOf(comparison, ComparedFigure::Spread, comparison.byRuns.spread)};
    if (comparison.byRuns.late) {
        words.push_back(wordsOf(comparison, ComparedFigure::LateShare, *comparison.byRuns.late));
    } else {
        words.push_back({Words::question(ComparedFigure::LateShare), QString(enDash), false,
            {Words::noLimit()}, {}});
    }
    return words;
}

QStringList restWords(const report::SettingComparison& comparison)
{
    std::vector<Sentence> rest;
    std::ranges::copy_if(
        comparison.sentences, std::back_inserter(rest), [&comparison](const Sentence& sentence) {
            return !isVerdict(sentence) && !isAmong(comparison.fair.sentences, sentence);
        });
    return textsOf(rest);
}

QStringList fairWords(const report::SettingComparison& comparison)
{
    std::vector<Sentence> fair;
    std::ranges::copy_if(comparison.fair.sentences, std::back_inserter(fair),
        [&comparison](const Sentence& sentence) {
            return !isAmong(comparison.fair.conditions, sentence)
                && sentence.id != "fair-no-condition" && sentence.id != "fair-several-conditions";
        });
    return textsOf(fair);
}

QStringList conditionWords(const report::SettingComparison& comparison)
{
    QStringList texts = textsOf(comparison.fair.conditions);
    for (const Sentence& sentence : comparison.fair.sentences) {
        if (sentence.id == "fair-no-condition" || sentence.id == "fair-several-conditions") {
            texts << sentenceText(sentence);
        }
    }
    return texts;
}

} // namespace twinlamp::ui

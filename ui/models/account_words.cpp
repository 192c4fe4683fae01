// SPDX-License-Identifier: GPL-3.0-or-later
// What is said of one link setting alone.
#include "ui/models/comparison_words.h"
#include "ui/models/figure_cells.h"
#include "ui/widgets/figures.h"

#include <QCoreApplication>

namespace twinlamp::ui {

namespace {

using report::SettingAccount;
using stats::Summary;

constexpr double percent = 100.0;

QString tr(const char* text) { return QCoreApplication::translate("Compare", text); }

QString estimateText(const std::optional<stats::Estimate>& estimate, const Scaled& how = {})
{
    return estimate ? withInterval(estimate->value, estimate->interval, how) : dash();
}

QString plain(const std::optional<double>& value, int decimals)
{
    return value ? numberText(*value, decimals) : dash();
}

/// Sentences that belong to the first question.
bool isAboutCentre(const Sentence& sentence)
{
    return sentence.id == "account-centre" || sentence.id == "account-few-runs"
        || sentence.id == "account-doubtful";
}

/// Told only where runs bound it and the regions are sure.
VerdictWords howLong(const SettingAccount& account)
{
    VerdictWords words {tr("How long does it take?"), {}, false, {}, {}};
    const Summary& s = account.firstLight.summary;
    const stats::Interval ofMedian {s.medianLowMs, s.medianHighMs};
    const auto& centre = account.centreMs;
    if (centre && centre->interval.low && centre->interval.high) {
        words.answer = msText(centre->value, decimalsOf(centre->interval, 1.0));
        words.isTold = account.firstLight.runs >= stats::fewestRuns && account.clipsDoubtful == 0;
    } else if (s.medianMs) {
        words.answer
            = tr("median %1")
                  .arg(withInterval(s.medianMs, ofMedian, {}) % thinSpace % QStringLiteral("ms"));
    } else {
        words.answer = tr("No press that counts yet");
    }
    for (const Sentence& sentence : account.sentences) {
        if (isAboutCentre(sentence)) {
            words.sentences << sentenceText(sentence);
        }
    }
    return words;
}

VerdictWords howSteady(const SettingAccount& account)
{
    const Summary& s = account.firstLight.summary;
    VerdictWords words {tr("How steady is it?"), {}, s.sdMs.has_value(), {}, {}};
    if (!s.sdMs) {
        words.answer = tr("Two presses are needed");
        return words;
    }
    words.answer = tr("SD %1").arg(msText(*s.sdMs, 1));
    if (s.linkSpreadMs && s.linkSpreadHighMs) {
        words.sentences << tr("Of that, %1 ms is the link's own: what remains after each press's "
                              "wait for the next frame and the measurement.")
                               .arg(withInterval(
                                   s.linkSpreadMs, {s.linkSpreadLowMs, s.linkSpreadHighMs}, {}));
    } else {
        words.sentences << tr("How much of that is the link's own is told once its conditions hold "
                              "the link camera's frame rate.");
    }
    return words;
}

VerdictWords howOftenLate(const SettingAccount& account)
{
    const Summary& s = account.firstLight.summary;
    VerdictWords words {tr("How often is it late?"), {}, s.late.has_value(), {}, {}};
    if (!s.late || !s.lateShare) {
        words.answer = tr("No late limit yet");
        words.sentences << tr("Type the latency that the link must keep to as 'late over'.");
        return words;
    }
    words.answer = tr("%1 of %2").arg(*s.late).arg(s.n + s.noResponse);
    for (const Sentence& sentence : account.sentences) {
        if (sentence.id == "late-none-missed" || sentence.id == "late-some-missed") {
            words.sentences << sentenceText(sentence);
        }
    }
    return words;
}

void addSummaries(std::vector<FigureRow>& rows, const SettingAccount& account)
{
    const auto add = [&](const QString& name, const QString& toolTip, auto textOf) {
        rows.push_back({{name, textOf(account.firstLight.summary),
                            textOf(account.fullFrame.summary), textOf(account.firstLight.off)},
            toolTip, false});
    };
    add(tr("Presses"), tr("That count and were answered"),
        [](const Summary& s) -> QString { return QString::number(s.n); });
    add(tr("Never answered"), tr("They count as later than any limit"),
        [](const Summary& s) -> QString { return QString::number(s.noResponse); });
    add(tr("Set aside"), tr("They count nowhere; the press table says why"),
        [](const Summary& s) -> QString { return QString::number(s.setAside); });
    const auto overRuns = [](const std::optional<stats::Estimate>& estimate) -> QString {
        return estimate && estimate->interval.low ? estimateText(estimate) : dash();
    };
    rows.push_back({{tr("Centre over runs, ms"), overRuns(account.centreMs),
                        overRuns(account.fullFrameCentreMs), {}},
        tr("Mean of the runs' medians, ms, with Student's t over runs: holds where clocks lock"),
        false});
    add(tr("Median, ms"), tr("With its distribution-free 95 % interval, presses as independent"),
        [](const Summary& s) -> QString {
            return withInterval(s.medianMs, {s.medianLowMs, s.medianHighMs}, {});
        });
    add(tr("Mean, ms"), tr("Of the measured latencies"),
        [](const Summary& s) -> QString { return plain(s.meanMs, 1); });
    add(tr("SD, ms"), tr("Standard deviation of the measured latencies"),
        [](const Summary& s) -> QString { return plain(s.sdMs, 2); });
    add(tr("Interquartile range, ms"), tr("Between the quarter and the three-quarter quantile"),
        [](const Summary& s) -> QString { return plain(s.iqrMs, 2); });
}

void addTails(std::vector<FigureRow>& rows, const SettingAccount& account)
{
    const auto add = [&rows](const QString& name, const QString& toolTip,
                         const stats::QuantileFigure& light, const stats::QuantileFigure& full) {
        rows.push_back({{name, quantileText(light), quantileText(full), {}}, toolTip, false});
    };
    const auto& light = account.firstLight.details;
    const auto& full = account.fullFrame.details;
    const QString needs = tr("needs: presses that its interval takes");
    add(tr("p5, ms"), tr("One press in twenty is faster; %1").arg(needs), light.p5, full.p5);
    add(tr("p95, ms"), tr("One press in twenty is slower; %1").arg(needs), light.p95, full.p95);
    add(tr("p99, ms"), tr("One press in a hundred is slower; %1").arg(needs), light.p99, full.p99);
    rows.push_back(
        {{tr("Maximum, ms"), plain(account.firstLight.summary.maxMs, 1),
             plain(account.fullFrame.summary.maxMs, 1), plain(account.firstLight.off.maxMs, 1)},
            tr("None where an answer was lost"), false});
}

void addPanel(std::vector<FigureRow>& rows, const report::PanelOverRuns& panel)
{
    if (!panel.newFrameHz && !panel.refreshHz && !panel.scanMs && !panel.heldShare) {
        return;
    }
    rows.push_back({{tr("Panel, mean over runs")}, {}, true});
    const auto add = [&rows](const QString& name, const std::optional<stats::Estimate>& estimate,
                         const QString& toolTip, const Scaled& how) {
        rows.push_back({{name, estimateText(estimate, how)}, toolTip, false});
    };
    add(tr("New frames/s"), panel.newFrameHz, tr("How often the panel shows a new frame"), {});
    add(tr("Refreshes/s"), panel.refreshHz, tr("How often it draws, new frame or not"), {});
    add(tr("Scan time, ms"), panel.scanMs, tr("From its first row to its last, ms"), {});
    add(tr("Held frames, %"), panel.heldShare, tr("Frames that were shown again"), {percent, {}});
}

} // namespace

std::vector<VerdictWords> accountVerdicts(const SettingAccount& account)
{
    return {howLong(account), howSteady(account), howOftenLate(account)};
}

QStringList accountWords(const SettingAccount& account)
{
    QStringList words;
    for (const Sentence& sentence : account.sentences) {
        const bool isVerdict = isAboutCentre(sentence) || sentence.id == "late-none-missed"
            || sentence.id == "late-some-missed";
        if (!isVerdict) {
            words << sentenceText(sentence);
        }
    }
    words << sentenceText({"account-independent", {}});
    return words;
}

FigureLines accountTable(const SettingAccount& account)
{
    FigureLines lines {
        {tr("This setting"), tr("first light"), tr("full frame"), tr("off edges")}, {}};
    addSummaries(lines.rows, account);
    addTails(lines.rows, account);
    addPanel(lines.rows, account.panel);
    return lines;
}

FigureLines accountClipsTable(const SettingAccount& account)
{
    FigureLines lines {{tr("Clip"), tr("run"), tr("presses"), tr("median, ms"), tr("SD, ms"),
                           tr("full frame, ms")},
        {}};
    for (const report::ClipAccount& clip : account.clips) {
        const Summary& s = clip.on;
        QString presses = QString::number(s.n + s.noResponse);
        if (s.noResponse > 0) {
            presses += tr(", %1 lost").arg(s.noResponse);
        }
        lines.rows.push_back(
            {{QString::fromStdString(clip.file), QString::fromStdString(clip.run), presses,
                 withInterval(s.medianMs, {s.medianLowMs, s.medianHighMs}, {}), plain(s.sdMs, 2),
                 plain(clip.fullFrame.medianMs, 1)},
                tr("On edges; median with its 95 % interval, presses as independent"), false});
    }
    return lines;
}

} // namespace twinlamp::ui

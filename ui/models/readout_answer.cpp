// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/models/readout_answer.h"

#include "core/report/figure_text.h"
#include "core/report/setting_presses.h"
#include "core/session/effective.h"
#include "core/session/entry_fields.h"
#include "core/stats/quantile.h"
#include "core/stats/summary.h"
#include "ui/widgets/figures.h"

#include <QCoreApplication>
#include <QRegularExpression>

#include <algorithm>
#include <cmath>

namespace twinlamp::ui {

namespace {

using report::PairsOf;
using report::ReadoutCheck;

QString tr(const char* text) { return QCoreApplication::translate("Readout", text); }

QString text(const std::string& words) { return QString::fromStdString(words); }

bool canBePaired(const Press& press)
{
    return press.edge == Edge::On && press.accepted && press.latency;
}

std::vector<double> typedFor(const session::Clip& clip, int press)
{
    const auto found = std::ranges::find(clip.readouts, press, &session::PressReadout::press);
    return found == clip.readouts.end() ? std::vector<double> {}
                                        : std::vector<double> {found->latencyMs};
}

void addPressRows(std::vector<ReadoutRow>& rows, const session::Session& session,
    const session::LinkSetting& setting)
{
    for (const session::Clip* clip : session::clipsOf(session, setting.id)) {
        const QString run = text(session::find(session, clip->run)->name);
        const QString file = text(session::fileNameOf(*clip));
        for (const Press& press : session::countedPresses(*clip)) {
            if (canBePaired(press)) {
                rows.push_back({setting.id, {clip->id, press.index},
                    {text(setting.name), run, file, QString::number(press.index + 1)},
                    toMs(*press.latency), typedFor(*clip, press.index)});
            }
        }
    }
}

void addSettingRow(std::vector<ReadoutRow>& rows, const session::Session& session,
    const session::LinkSetting& setting)
{
    const report::SettingPresses presses = report::settingPresses(session, setting.id);
    const stats::Summary summary = stats::summariseRuns(presses.runViews(), Edge::On, {});
    std::vector<double> typed;
    for (const session::SettingReadout& readout : setting.readouts) {
        typed.push_back(readout.latencyMs);
    }
    rows.push_back({setting.id, {}, {text(setting.name), QString::number(summary.n)},
        summary.medianMs, std::move(typed)});
}

QString estimateText(const stats::Estimate& estimate)
{
    const double low = estimate.interval.low.value_or(estimate.value);
    const double high = estimate.interval.high.value_or(estimate.value);
    return numberText(estimate.value, report::decimalsFor((high - low) / 2.0));
}

QString intervalText(const stats::Estimate& estimate)
{
    if (!estimate.interval.low || !estimate.interval.high) {
        return enDash;
    }
    const double low = *estimate.interval.low;
    const double high = *estimate.interval.high;
    const int decimals = report::decimalsFor((high - low) / 2.0);
    return tr("%1 to %2").arg(numberText(low, decimals), numberText(high, decimals));
}

} // namespace

std::optional<double> ReadoutRow::differenceMs() const
{
    if (!measuredMs || typedMs.empty()) {
        return std::nullopt;
    }
    std::vector<double> sorted = typedMs;
    std::ranges::sort(sorted);
    constexpr double half = 0.5;
    return *stats::quantileType7(std::span<const double>(sorted), half) - *measuredMs;
}

ReadoutAnswer readoutAnswer(
    const session::Session& session, const report::ReadoutCheckOptions& options)
{
    ReadoutAnswer answer {options, {}, report::readoutCheck(session, options)};
    for (const session::LinkSetting& setting : session.settings) {
        if (options.setting && setting.id != options.setting) {
            continue;
        }
        if (options.of == PairsOf::Presses) {
            addPressRows(answer.rows, session, setting);
        } else {
            addSettingRow(answer.rows, session, setting);
        }
    }
    return answer;
}

QStringList readoutNameColumns(PairsOf of)
{
    return of == PairsOf::Presses
        ? QStringList {tr("setting"), tr("run"), tr("clip"), tr("press")}
        : QStringList {tr("setting"), tr("presses")};
}

std::optional<std::vector<double>> readoutsIn(const QString& typed, PairsOf of)
{
    static const QRegularExpression between(QStringLiteral("[;\\s]+"));
    std::vector<double> figures;
    for (const QString& part : typed.split(between, Qt::SkipEmptyParts)) {
        const auto figure = numberIn(part);
        if (!figure || !std::isfinite(*figure) || *figure <= 0.0) {
            return std::nullopt;
        }
        figures.push_back(*figure);
    }
    if (of == PairsOf::Presses && figures.size() > 1) {
        return std::nullopt;
    }
    return figures;
}

QString readoutsText(const std::vector<double>& typedMs)
{
    QStringList figures;
    for (const double ms : typedMs) {
        figures << text(session::shortestText(ms));
    }
    return figures.join(QStringLiteral("; "));
}

Result<session::Edit> readoutEdit(
    const session::Session& session, const ReadoutRow& row, const std::vector<double>& typedMs)
{
    if (row.press.clip) {
        return session::setReadout(
            session, row.press, typedMs.empty() ? std::nullopt : std::optional(typedMs.front()));
    }
    const session::LinkSetting* setting = session::find(session, row.setting);
    std::vector<session::SettingReadout> before
        = setting != nullptr ? setting->readouts : std::vector<session::SettingReadout> {};
    std::vector<session::SettingReadout> readouts;
    for (const double ms : typedMs) {
        const auto same = std::ranges::find(before, ms, &session::SettingReadout::latencyMs);
        if (same != before.end()) {
            readouts.push_back(*same);
            before.erase(same);
        } else {
            readouts.push_back({ms, {}});
        }
    }
    return session::changeReadouts(session, row.setting, std::move(readouts));
}

VerdictWords readoutVerdict(const ReadoutCheck& check)
{
    VerdictWords words {tr("Does the goggle tell its latency right?"), {}, false, {}, {}};
    switch (check.verdict) {
    case report::ReadoutVerdict::ReadsLess:
        words.answer = tr("It reads less than measured");
        break;
    case report::ReadoutVerdict::ReadsMore:
        words.answer = tr("It reads more than measured");
        break;
    case report::ReadoutVerdict::Undecided:
        words.answer = check.agreement ? tr("Cannot tell yet") : tr("No readouts yet");
        break;
    }
    words.isTold = check.verdict != report::ReadoutVerdict::Undecided;
    if (!check.agreement) {
        words.sentences << tr("Type what the goggle displayed about itself into the table, beside "
                              "what was measured. Two pairs give a first figure, 30 pairs of three "
                              "runs a good check.");
    } else {
        words.sentences << sentenceText(check.sentences.front());
    }
    return words;
}

QStringList readoutWords(const ReadoutCheck& check)
{
    QStringList words;
    // The first sentence is the verdict's.
    for (std::size_t i = 1; i < check.sentences.size(); ++i) {
        words << sentenceText(check.sentences[i]);
    }
    return words;
}

FigureLines readoutTable(const ReadoutCheck& check)
{
    FigureLines lines {{tr("readout less measured, ms"), tr("figure"), tr("95 % interval")}, {}};
    if (!check.agreement) {
        return lines;
    }
    const auto add
        = [&lines](const QString& name, const stats::Estimate& estimate, const QString& toolTip) {
              lines.rows.push_back(
                  {{name, estimateText(estimate), intervalText(estimate)}, toolTip, false});
          };
    const bool isPresses = check.of == PairsOf::Presses;
    if (check.byRuns) {
        add(isPresses ? tr("bias over runs") : tr("bias over link settings"), check.byRuns->bias,
            tr("Mean of the differences, ms, with runs as the blocks: presses of one run share an "
               "offset. The verdict rests on this line."));
    }
    if (check.byRuns && isPresses) {
        add(tr("lower limit of agreement, by runs"), check.byRuns->lowerLimit,
            tr("2.5 % of the differences of a new run are expected below it, ms"));
        add(tr("upper limit of agreement, by runs"), check.byRuns->upperLimit,
            tr("2.5 % of the differences of a new run are expected above it, ms"));
    }
    const stats::Agreement& agreement = *check.agreement;
    lines.rows.push_back({{tr("as if pairs were independent")}, {}, true});
    add(tr("bias"), agreement.bias, tr("Mean of the differences, ms"));
    add(tr("lower limit of agreement"), agreement.lowerLimit,
        tr("2.5 % of the differences are expected below it, ms"));
    add(tr("upper limit of agreement"), agreement.upperLimit,
        tr("2.5 % of the differences are expected above it, ms"));
    if (agreement.proportionalBias) {
        add(tr("bias per ms of latency"), *agreement.proportionalBias,
            tr("Slope of the differences over the latency, without unit: 0 where one number "
               "corrects the readout at every latency"));
    }
    return lines;
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/sentence.h"
#include "ui/models/comparison_answer.h"
#include "ui/models/figure_table_model.h"

#include <QString>
#include <QStringList>

#include <vector>

namespace twinlamp::ui {

/// The answer to one question about two settings.
struct VerdictWords
{
    QString question; ///< "Which is faster?"
    QString answer; ///< "A is faster", "Cannot tell yet"
    bool isTold = false; ///< told apart, or the same within the margin
    QStringList sentences; ///< figures first, then why nothing is told and what would tell
    QString needed; ///< "about 4 runs, 32 presses of each"; empty where told or not known
    bool operator==(const VerdictWords&) const = default;
};

/// A sentence of core in words.
[[nodiscard]] QString sentenceText(const Sentence& sentence);

/// Faster, steadier and, with a late limit, less often late.
[[nodiscard]] std::vector<VerdictWords> verdictWords(const report::SettingComparison& comparison);

/// What the verdicts rest on: neither verdicts nor the fair test.
[[nodiscard]] QStringList restWords(const report::SettingComparison& comparison);
/// The fair test but for the conditions that differ.
[[nodiscard]] QStringList fairWords(const report::SettingComparison& comparison);
[[nodiscard]] QStringList conditionWords(const report::SettingComparison& comparison);

/// Columns and lines of a table.
struct FigureLines
{
    QStringList columns;
    std::vector<FigureRow> rows;
};

/// Shift, spread and late share by runs, and below them as if presses were independent.
[[nodiscard]] FigureLines comparedFigures(const report::SettingComparison& comparison);
/// Figures of each setting alone, side by side.
[[nodiscard]] FigureLines settingFiguresTable(const report::SettingComparison& comparison);
/// Words and figures of one setting alone: how long, how steady, how often late.
[[nodiscard]] std::vector<VerdictWords> accountVerdicts(const report::SettingAccount& account);
[[nodiscard]] QStringList accountWords(const report::SettingAccount& account);
[[nodiscard]] FigureLines accountTable(const report::SettingAccount& account);
[[nodiscard]] FigureLines accountClipsTable(const report::SettingAccount& account);
/// All settings, fastest first, each against the fastest.
[[nodiscard]] FigureLines rankingTable(const report::SettingRanking& ranking);

} // namespace twinlamp::ui

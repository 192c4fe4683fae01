// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/report/readout_check.h"
#include "core/session/edit.h"
#include "ui/models/comparison_words.h"

#include <QString>
#include <QStringList>

#include <optional>
#include <vector>

namespace twinlamp::ui {

/// A line in which a readout can be typed: a press, or a link setting as a whole.
struct ReadoutRow
{
    session::SettingId setting;
    session::PressAddress press {}; ///< clip 0 where the line is a setting's
    QStringList names; ///< what the line is, a text for each naming column
    std::optional<double> measuredMs; ///< the press's latency, or the setting's median
    std::vector<double> typedMs; ///< what the goggle displayed: one at most for a press
    bool operator==(const ReadoutRow&) const = default;

    /// Readout less measured; the median of those typed. Nothing where one of the two is missing.
    [[nodiscard]] std::optional<double> differenceMs() const;
};

/// All that the readout page shows of a session.
struct ReadoutAnswer
{
    report::ReadoutCheckOptions options;
    std::vector<ReadoutRow> rows; ///< those that can be paired: `on` presses that count
    report::ReadoutCheck check;
};

/// Works the check out. Milliseconds for thousands of presses.
[[nodiscard]] ReadoutAnswer readoutAnswer(
    const session::Session& session, const report::ReadoutCheckOptions& options);

/// Names of the columns that name a line.
[[nodiscard]] QStringList readoutNameColumns(report::PairsOf of);

/// Figures as typed, with point or comma; those of a setting parted by ; or spaces. An empty text
/// gives none.
/// @return Nothing where the text is something else, or more than one figure for a press.
[[nodiscard]] std::optional<std::vector<double>> readoutsIn(
    const QString& text, report::PairsOf of);
[[nodiscard]] QString readoutsText(const std::vector<double>& typedMs);

/// The step that gives a line its readouts; notes of a setting's readouts stay with equal figures.
[[nodiscard]] Result<session::Edit> readoutEdit(
    const session::Session& session, const ReadoutRow& row, const std::vector<double>& typedMs);

/// Whether the goggle tells its latency right, and the figures below it.
[[nodiscard]] VerdictWords readoutVerdict(const report::ReadoutCheck& check);
[[nodiscard]] QStringList readoutWords(const report::ReadoutCheck& check);
[[nodiscard]] FigureLines readoutTable(const report::ReadoutCheck& check);

} // namespace twinlamp::ui

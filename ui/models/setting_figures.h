// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/report/setting_figures.h"
#include "core/session/session.h"
#include "core/stats/summary.h"

#include <QString>

#include <vector>

namespace twinlamp::ui {

using report::SettingFigures;

/// Figures of every setting, in the session's order, with their histograms on one axis.
[[nodiscard]] std::vector<SettingFigures> settingFigures(const session::Session& session);

/// "1280x720, 20 Mbit/s, 40 MHz wide, …": what is known of a setting's conditions, in few words.
[[nodiscard]] QString conditionsText(const session::Conditions& conditions);

/// The answer of a setting in one sentence; a doubt about the regions stands before the figure.
[[nodiscard]] QString answerSentence(
    const session::LinkSetting& setting, const SettingFigures& figures);

/// What stands below a setting's histogram: "24 presses, 2 lost, 95 %: 27 to 34 ms".
[[nodiscard]] QString countNote(const SettingFigures& figures);
/// "25.3 ms" as the digits of its interval allow; empty where there is no median.
[[nodiscard]] QString medianText(const stats::Summary& summary);
/// "24.9 to 25.6 ms", the 95 % interval of the median; empty where there are too few presses.
[[nodiscard]] QString medianIntervalText(const stats::Summary& summary);

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/models/comparison_answer.h"

#include "core/report/setting_presses.h"

#include <utility>

namespace twinlamp::ui {

namespace {

ChartSeries seriesOf(const report::SettingPresses& setting, stats::Figure figure)
{
    ChartSeries series;
    series.name = QString::fromStdString(setting.name);
    auto runs = stats::latenciesByRun(setting.runViews(), Edge::On, figure);
    for (std::size_t i = 0; i < runs.size(); ++i) {
        if (runs[i].presses() > 0) {
            series.runs.push_back({QString::fromStdString(setting.runs[i].name),
                std::move(runs[i].latenciesMs), runs[i].lost});
        }
    }
    return series;
}

} // namespace

ChartSeries chartSeries(
    const session::Session& session, session::SettingId setting, stats::Figure figure)
{
    return seriesOf(report::settingPresses(session, setting), figure);
}

JobResult<ComparisonAnswer> answerTo(
    const session::Session& session, const ComparisonQuestion& question, const JobControl& control)
{
    ComparisonAnswer answer;
    const report::SettingPair& pair = question.settings;
    const stats::Figure figure = question.options.figure;
    const auto limit = question.options.lateLimit ? question.options.lateLimit : session.lateLimit;
    answer.chart.series = {chartSeries(session, pair.a, figure)};
    if (pair.b) {
        auto comparison = report::settingComparison(session, pair, question.options, control);
        if (!comparison.hasValue()) {
            return Cancelled {};
        }
        answer.comparison = std::move(comparison).value();
        answer.chart.series.push_back(chartSeries(session, pair.b, figure));
        answer.chart.series[0].letter = QStringLiteral("A");
        answer.chart.series[1].letter = QStringLiteral("B");
    } else {
        answer.alone = report::settingAccount(session, pair.a, limit);
    }
    answer.chart.axis = axisOf(answer.chart.series);
    if (limit) {
        answer.chart.limitMs = toMs(*limit);
    }
    std::vector<session::SettingId> ranked;
    for (const session::LinkSetting& setting : session.settings) {
        if (chartSeries(session, setting.id, figure).presses() > 0) {
            ranked.push_back(setting.id);
        }
    }
    if (ranked.size() > 2) {
        auto ranking = report::settingRanking(session, ranked, question.options, control);
        if (!ranking.hasValue()) {
            return Cancelled {};
        }
        answer.ranking = std::move(ranking).value();
    }
    return answer;
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/models/figure_cells.h"

#include "core/report/figure_text.h"
#include "ui/widgets/figures.h"

#include <QCoreApplication>

namespace twinlamp::ui {

namespace {

QString tr(const char* text) { return QCoreApplication::translate("Compare", text); }

} // namespace

QString dash() { return enDash; }

int decimalsOf(const stats::Interval& interval, double scale)
{
    return interval.low && interval.high
        ? report::decimalsFor(scale * (*interval.high - *interval.low) / 2.0)
        : 2;
}

QString valueText(double value, int decimals, const Scaled& how)
{
    const QString text = numberText(how.scale * value, decimals);
    return how.unit.isEmpty() ? text : text + thinSpace + how.unit;
}

QString intervalText(const stats::Interval& interval, const Scaled& how)
{
    if (!interval.low && !interval.high) {
        return dash();
    }
    const int decimals = decimalsOf(interval, how.scale);
    const auto end = [&](const std::optional<double>& value) {
        return value ? numberText(how.scale * *value, decimals) : QStringLiteral("?");
    };
    return tr("%1 to %2").arg(end(interval.low), end(interval.high));
}

QString withInterval(
    const std::optional<double>& value, const stats::Interval& interval, const Scaled& how)
{
    if (!value) {
        return dash();
    }
    const QString text = numberText(
        how.scale * *value, interval.low && interval.high ? decimalsOf(interval, how.scale) : 1);
    return interval.low || interval.high ? tr("%1 (%2)").arg(text, intervalText(interval, how))
                                         : text;
}

QString quantileText(const stats::QuantileFigure& figure)
{
    if (figure.needs) {
        const QString text = figure.estimate ? numberText(*figure.estimate, 1) : dash();
        return tr("%1 (needs %2)").arg(text).arg(*figure.needs);
    }
    return withInterval(figure.estimate, figure.interval, {});
}

} // namespace twinlamp::ui

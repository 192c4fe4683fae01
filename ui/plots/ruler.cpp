// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/plots/ruler.h"

#include "core/base/contracts.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::ui {

namespace {

// A multiple may miss the end of the axis by rounding alone; this share of a step is forgiven.
constexpr double roundingShare = 1e-9;

} // namespace

double AxisMapping::toPx(double value) const
{
    return high == low ? firstPx : firstPx + (value - low) / (high - low) * (lastPx - firstPx);
}

double AxisMapping::toValue(double px) const
{
    return lastPx == firstPx ? low : low + (px - firstPx) / (lastPx - firstPx) * (high - low);
}

double niceStep(double step)
{
    TL_EXPECTS(step > 0.0);
    const double decade = std::pow(10.0, std::floor(std::log10(step)));
    for (const double factor : {1.0, 2.0, 5.0}) {
        if (factor * decade >= step * (1.0 - roundingShare)) {
            return factor * decade;
        }
    }
    return 10.0 * decade;
}

QString tickText(double value, double step)
{
    const int decimals
        = std::max(0, static_cast<int>(-std::floor(std::log10(step) + roundingShare)));
    QString text = QString::number(value, 'f', decimals);
    text.replace(QLatin1Char('-'), QChar(0x2212));
    return text;
}

std::vector<RulerTick> rulerTicks(const AxisMapping& axis, double gapPx)
{
    const double span = axis.high - axis.low;
    const double widthPx = std::abs(axis.lastPx - axis.firstPx);
    std::vector<RulerTick> ticks;
    if (!std::isfinite(span) || span <= 0.0 || widthPx <= 0.0 || gapPx <= 0.0) {
        return ticks;
    }
    const double step = niceStep(span * gapPx / widthPx);
    const double first = std::ceil(axis.low / step - roundingShare);
    const double last = std::floor(axis.high / step + roundingShare);
    const auto count = static_cast<int>(last - first) + 1;
    for (int i = 0; i < count; ++i) {
        // Adding 0.0 turns a negative zero into zero, which is what the label should say.
        const double value = (first + i) * step + 0.0;
        ticks.push_back({value, tickText(value, step)});
    }
    return ticks;
}

} // namespace twinlamp::ui

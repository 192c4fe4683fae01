// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/latency_budget.h"

#include "ui/theme/theme.h"
#include "ui/widgets/figures.h"

#include <QPainter>

#include <algorithm>

namespace twinlamp::ui {

namespace {

constexpr double barHeight = 6.0;

double lineHeight() { return QFontMetrics(typeFont(TypeSize::Small)).height() + 2.0; }

ColourRole roleOf(std::size_t bar) { return bar == 2 ? ColourRole::Panel : ColourRole::Goggle; }

} // namespace

std::vector<BudgetBar> budgetOf(const Press& press)
{
    std::vector<BudgetBar> bars;
    if (!press.latency || !press.firstLight) {
        return bars;
    }
    const double first = toMs(*press.latency);
    bars.push_back({LatencyBudget::tr("first light"), 0.0, first});
    if (press.settled) {
        bars.push_back({LatencyBudget::tr("settles"), first,
            first + toMs(*press.settled - *press.firstLight)});
    }
    if (press.fullFrameLatency) {
        const double full = toMs(*press.fullFrameLatency);
        const double sweep = press.sweepStart && press.fullFrame
            ? full - toMs(*press.fullFrame - *press.sweepStart)
            : first;
        bars.push_back({LatencyBudget::tr("full frame"), sweep, full});
    }
    return bars;
}

LatencyBudget::LatencyBudget(QWidget* parent)
    : QWidget(parent)
{
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Fixed);
    setAccessibleName(tr("What the time goes into"));
}

void LatencyBudget::setBars(std::vector<BudgetBar> bars)
{
    m_bars = std::move(bars);
    setVisible(!m_bars.empty());
    updateGeometry();
    update();
}

QSize LatencyBudget::sizeHint() const
{
    return {200, qRound(lineHeight() * static_cast<double>(m_bars.size()))};
}

void LatencyBudget::paintEvent(QPaintEvent* /*event*/)
{
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    painter.setFont(typeFont(TypeSize::Small));
    double nameWidth = 0.0;
    double longest = 0.1;
    double earliest = 0.0;
    for (const BudgetBar& bar : m_bars) {
        nameWidth = std::max<double>(nameWidth, painter.fontMetrics().horizontalAdvance(bar.name));
        longest = std::max(longest, bar.toMs);
        earliest = std::min(earliest, bar.fromMs);
    }
    const double figureWidth = painter.fontMetrics().horizontalAdvance(msText(longest, 1)) + 8.0;
    const double left = nameWidth + 8.0;
    const double room = std::max(10.0, width() - left - figureWidth);
    for (std::size_t i = 0; i < m_bars.size(); ++i) {
        const BudgetBar& bar = m_bars[i];
        const double top = static_cast<double>(i) * lineHeight();
        painter.setPen(colours()[ColourRole::QuietText]);
        painter.drawText(QRectF(0, top, nameWidth + 1, lineHeight()), Qt::AlignVCenter, bar.name);
        const auto toPx
            = [&](double ms) { return left + (ms - earliest) / (longest - earliest) * room; };
        painter.setPen(Qt::NoPen);
        painter.setBrush(colours()[roleOf(i)]);
        painter.drawRect(QRectF(toPx(bar.fromMs), top + (lineHeight() - barHeight) / 2.0,
            std::max(1.0, toPx(bar.toMs) - toPx(bar.fromMs)), barHeight));
        painter.setPen(colours()[ColourRole::Text]);
        painter.drawText(QRectF(left + room, top, figureWidth, lineHeight()),
            Qt::AlignRight | Qt::AlignVCenter, msText(bar.toMs, 1));
    }
}

} // namespace twinlamp::ui

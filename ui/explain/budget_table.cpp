// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/explain/budget_table.h"

#include "core/report/figure_text.h"
#include "ui/widgets/figures.h"

#include <QCoreApplication>
#include <QFontMetricsF>
#include <QPainter>

#include <algorithm>
#include <cmath>

namespace twinlamp::ui {

namespace {

constexpr double uncertaintyWidth = 104.0;
constexpr double freedomWidth = 84.0;
constexpr double scopeWidth = 128.0;
constexpr double shareWidth = 88.0;
constexpr double rowAir = 5.0;

QString tr(const char* text) { return QCoreApplication::translate("Explanation", text); }

/// Standard uncertainties carry two digits (JCGM 100:2008, 7.2.6).
int decimalsOf(double ms)
{
    constexpr int mostDecimals = 4;
    return ms > 0.0 ? std::clamp(1 - static_cast<int>(std::floor(std::log10(ms))), 0, mostDecimals)
                    : 0;
}

/// Places of the columns, from the right.
struct Columns
{
    QRectF source;
    QRectF uncertainty;
    QRectF freedom;
    QRectF scope;
    QRectF share;

    explicit Columns(const QRectF& row)
    {
        double right = row.right();
        const auto take = [&](double width) {
            right -= width;
            return QRectF(right, row.top(), width, row.height());
        };
        share = take(shareWidth);
        scope = take(scopeWidth).adjusted(16.0, 0, 0, 0);
        freedom = take(freedomWidth);
        uncertainty = take(uncertaintyWidth);
        source = QRectF(row.left(), row.top(), right - row.left(), row.height());
    }
};

} // namespace

double BudgetTable::line() const { return QFontMetricsF(m_ink.small()).height(); }

QString BudgetTable::sumText() const
{
    const report::Budget& budget = *m_budget;
    QString text = tr("Combined %1, coverage factor %2, half width ±%3 (95 %)")
                       .arg(msText(budget.combinedMs, decimalsOf(budget.combinedMs)),
                           numberText(budget.coverageFactor, 2),
                           msText(budget.halfWidthMs, report::decimalsFor(budget.halfWidthMs)));
    if (budget.degreesOfFreedom) {
        text += tr("; %1 degrees of freedom").arg(numberText(*budget.degreesOfFreedom, 0));
    }
    return text % QLatin1Char('.');
}

double BudgetTable::heightFor(double /*width*/) const
{
    if (!m_budget) {
        return 3.0 * line();
    }
    return line() * 2.2 + static_cast<double>(m_budget->rows.size()) * (2.0 * line() + rowAir)
        + 2.4 * line();
}

void BudgetTable::paintHead(QPainter& painter, QRectF row) const
{
    const Columns columns(row);
    painter.setFont(m_ink.small());
    painter.setPen(m_ink.colours[ColourRole::QuietText]);
    const int right = Qt::AlignRight | Qt::AlignBottom | Qt::TextWordWrap;
    const int left = Qt::AlignLeft | Qt::AlignBottom | Qt::TextWordWrap;
    painter.drawText(columns.source, left, tr("part, and how it was got"));
    painter.drawText(columns.uncertainty, right, tr("standard uncertainty, ms"));
    painter.drawText(columns.freedom, right, tr("degrees of freedom"));
    painter.drawText(columns.scope, left, tr("error is"));
    painter.drawText(columns.share, right, tr("share of the variance"));
    painter.setPen(QPen(m_ink.colours[ColourRole::StrongLine], 1.0));
    painter.drawLine(row.bottomLeft() + QPointF(0, 2.0), row.bottomRight() + QPointF(0, 2.0));
}

void BudgetTable::paintRow(QPainter& painter, QRectF row, const report::BudgetRow& part) const
{
    const Columns columns(row);
    const int right = Qt::AlignRight | Qt::AlignTop;
    painter.setPen(m_ink.colours[ColourRole::Text]);
    painter.setFont(m_ink.smallStrong());
    painter.drawText(columns.source, Qt::AlignLeft | Qt::AlignTop, textOf(part.name));
    painter.setFont(m_ink.small());
    painter.drawText(
        columns.uncertainty, right, numberText(part.standardMs, decimalsOf(part.standardMs)));
    painter.drawText(columns.freedom, right,
        part.degreesOfFreedom ? numberText(*part.degreesOfFreedom, 0) : tr("known"));
    painter.drawText(columns.scope, Qt::AlignLeft | Qt::AlignTop,
        part.commonToAll ? tr("common to all") : tr("press to press"));
    painter.drawText(columns.share, right,
        numberText(100.0 * part.varianceShare, 0) % thinSpace % QLatin1Char('%'));
    const QRectF bar(
        columns.share.left() + 16.0, row.top() + line() + 3.0, columns.share.width() - 16.0, 5.0);
    painter.setPen(QPen(m_ink.colours[ColourRole::StrongLine], 1.0));
    painter.setBrush(Qt::NoBrush);
    painter.drawRect(bar);
    painter.fillRect(QRectF(bar.left(), bar.top(), bar.width() * part.varianceShare, bar.height()),
        m_ink.colours[ColourRole::Text]);
    painter.setPen(m_ink.colours[ColourRole::QuietText]);
    const QRectF how(row.left(), row.top() + line(), columns.share.left() - row.left(), line());
    painter.drawText(how, Qt::AlignLeft | Qt::AlignTop,
        QFontMetricsF(m_ink.small()).elidedText(textOf(part.how), Qt::ElideRight, how.width()));
}

void BudgetTable::paintSum(QPainter& painter, QRectF place) const
{
    painter.setPen(QPen(m_ink.colours[ColourRole::StrongLine], 1.0));
    painter.drawLine(place.topLeft(), place.topRight());
    painter.setPen(m_ink.colours[ColourRole::Text]);
    painter.setFont(m_ink.small());
    painter.drawText(place.adjusted(0, 4.0, 0, 0), Qt::AlignLeft | Qt::TextWordWrap, sumText());
}

void BudgetTable::paint(QPainter& painter, QRectF area) const
{
    painter.setFont(m_ink.strong());
    painter.setPen(m_ink.colours[ColourRole::Text]);
    if (!m_budget) {
        painter.drawText(
            area, Qt::AlignLeft | Qt::TextWordWrap, tr("No latency, so no uncertainty of it."));
        return;
    }
    const double head = 2.2 * line();
    paintHead(painter, QRectF(area.left(), area.top(), area.width(), head - 4.0));
    double top = area.top() + head + 2.0;
    for (const report::BudgetRow& part : m_budget->rows) {
        const double height = 2.0 * line() + rowAir;
        paintRow(painter, QRectF(area.left(), top, area.width(), height), part);
        top += height;
    }
    paintSum(painter, QRectF(area.left(), top, area.width(), 2.4 * line()));
}

} // namespace twinlamp::ui

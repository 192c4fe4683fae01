// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/explain/explanation_painter.h"

#include "ui/explain/budget_table.h"
#include "ui/explain/strip_painter.h"
#include "ui/explain/trace_chart.h"
#include "ui/widgets/figures.h"

#include <QCoreApplication>
#include <QFontMetricsF>
#include <QPainter>

#include <algorithm>
#include <vector>

namespace twinlamp::ui {

namespace {

constexpr double margin = 16.0;
constexpr double blockGap = 12.0;
constexpr double columnGap = 32.0;
constexpr double budgetShare = 0.58;

QString tr(const char* text) { return QCoreApplication::translate("Explanation", text); }

struct Doubt
{
    QString name;
    QString text;
};

QString fromView(std::string_view text)
{
    return QString::fromUtf8(text.data(), static_cast<qsizetype>(text.size()));
}

std::vector<Doubt> doubtsOf(const report::PressExplanation& explanation)
{
    std::vector<Doubt> doubts;
    for (const report::ExplainedFlag& flag : explanation.flags) {
        const QString name
            = flag.setsAside ? tr("Set aside: %1").arg(flagName(flag.flag)) : flagName(flag.flag);
        doubts.push_back({name, fromView(flagSentence(flag.flag))});
    }
    for (const Sentence& note : explanation.notes) {
        doubts.push_back({{}, textOf(note)});
    }
    if (doubts.empty()) {
        doubts.push_back({{}, tr("No doubts.")});
    }
    return doubts;
}

double wrappedHeight(const QFont& font, const QString& text, double width)
{
    return QFontMetricsF(font)
        .boundingRect(QRectF(0, 0, width, 1e6), Qt::TextWordWrap, text)
        .height();
}

} // namespace

double ExplanationPainter::titleHeight() const
{
    return QFontMetricsF(m_ink.figure()).height() + 4.0;
}

double ExplanationPainter::footHeight() const
{
    return QFontMetricsF(m_ink.small()).height() + 8.0;
}

double ExplanationPainter::doubtsHeight(double width) const
{
    double height = QFontMetricsF(m_ink.strong()).height() + 4.0;
    for (const Doubt& doubt : doubtsOf(m_explanation)) {
        if (!doubt.name.isEmpty()) {
            height += wrappedHeight(m_ink.smallStrong(), doubt.name, width);
        }
        height += wrappedHeight(m_ink.small(), doubt.text, width) + 8.0;
    }
    return height;
}

double ExplanationPainter::lowerHeight(double width) const
{
    const double inside = width - 2.0 * margin;
    const double head = QFontMetricsF(m_ink.strong()).height() + 4.0;
    return std::max(head + BudgetTable(m_explanation.budget, m_ink).heightFor(inside * budgetShare),
        doubtsHeight(inside * (1.0 - budgetShare) - columnGap));
}

double ExplanationPainter::heightFor(double width) const
{
    const double inside = width - 2.0 * margin;
    double height = 2.0 * margin + titleHeight() + blockGap;
    if (!m_explanation.strip.empty()) {
        height += StripPainter(m_explanation, m_pictures, m_ink).heightFor(inside) + blockGap
            + TraceChart(m_explanation, m_ink).height() + blockGap;
    }
    return height + lowerHeight(width) + blockGap + footHeight();
}

void ExplanationPainter::paintTitle(QPainter& painter, QRectF place) const
{
    painter.setFont(m_ink.figure());
    painter.setPen(m_ink.colours[ColourRole::Text]);
    painter.drawText(place, Qt::AlignLeft | Qt::AlignVCenter, textOf(m_explanation.title));
    if (!m_explanation.accepted) {
        painter.setFont(m_ink.strong());
        painter.setPen(m_ink.colours[ColourRole::Doubt]);
        painter.drawText(
            place, Qt::AlignRight | Qt::AlignVCenter, tr("set aside: counts in no figure"));
    }
}

void ExplanationPainter::paintDoubts(QPainter& painter, QRectF place) const
{
    const auto write = [&](const QFont& font, ColourRole role, const QString& text) {
        painter.setFont(font);
        painter.setPen(m_ink.colours[role]);
        painter.drawText(place, Qt::AlignLeft | Qt::AlignTop | Qt::TextWordWrap, text);
        place.setTop(place.top() + wrappedHeight(font, text, place.width()));
    };
    write(m_ink.strong(), ColourRole::Text, tr("Doubts"));
    place.setTop(place.top() + 4.0);
    for (const Doubt& doubt : doubtsOf(m_explanation)) {
        if (!doubt.name.isEmpty()) {
            write(m_ink.smallStrong(), ColourRole::Doubt, doubt.name);
        }
        write(m_ink.small(), ColourRole::Text, doubt.text);
        place.setTop(place.top() + 8.0);
    }
}

void ExplanationPainter::paintFoot(QPainter& painter, QRectF place) const
{
    QStringList parts;
    for (const Sentence& sentence : m_explanation.foot) {
        parts << textOf(sentence);
    }
    painter.setPen(QPen(m_ink.colours[ColourRole::Line], 1.0));
    painter.drawLine(place.topLeft(), place.topRight());
    painter.setFont(m_ink.small());
    painter.setPen(m_ink.colours[ColourRole::QuietText]);
    painter.drawText(place.adjusted(0, 6.0, 0, 6.0), Qt::AlignLeft | Qt::AlignTop,
        QFontMetricsF(m_ink.small())
            .elidedText(parts.join(QStringLiteral(", ")), Qt::ElideMiddle, place.width()));
}

void ExplanationPainter::paint(QPainter& painter, QRectF area) const
{
    painter.save();
    painter.setRenderHint(QPainter::Antialiasing);
    painter.setRenderHint(QPainter::SmoothPixmapTransform, false);
    painter.fillRect(area, m_ink.colours[ColourRole::Ground]);
    QRectF place = area.adjusted(margin, margin, -margin, -margin);
    const auto take = [&place](double height) {
        const QRectF block(place.left(), place.top(), place.width(), height);
        place.setTop(place.top() + height + blockGap);
        return block;
    };
    paintTitle(painter, take(titleHeight()));
    if (!m_explanation.strip.empty()) {
        const StripPainter strip(m_explanation, m_pictures, m_ink);
        strip.paint(painter, take(strip.heightFor(place.width())));
        const TraceChart chart(m_explanation, m_ink);
        chart.paint(painter, take(chart.height()));
    }
    const QRectF lower = take(lowerHeight(area.width()));
    QRectF left = lower;
    left.setWidth(lower.width() * budgetShare);
    painter.setFont(m_ink.strong());
    painter.setPen(m_ink.colours[ColourRole::Text]);
    painter.drawText(left, Qt::AlignLeft | Qt::AlignTop, tr("Uncertainty of the latency"));
    left.setTop(left.top() + QFontMetricsF(m_ink.strong()).height() + 4.0);
    BudgetTable(m_explanation.budget, m_ink).paint(painter, left);
    paintDoubts(painter,
        QRectF(left.right() + columnGap, lower.top(), lower.right() - left.right() - columnGap,
            lower.height()));
    paintFoot(painter, take(footHeight()));
    painter.restore();
}

} // namespace twinlamp::ui

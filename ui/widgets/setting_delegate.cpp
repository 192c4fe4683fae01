// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/setting_delegate.h"

#include "ui/models/session_tree_model.h"
#include "ui/plots/histogram_geometry.h"
#include "ui/theme/theme.h"
#include "ui/widgets/figures.h"

#include <QPainter>

#include <algorithm>

namespace twinlamp::ui {

namespace {

constexpr int sideGap = 8;
constexpr int topGap = 8;
constexpr int histogramHeight = 32;
constexpr int gapWithoutConditions = 4; ///< else the median's pointer touches the name
constexpr int rugHeight = 4; ///< one tick for each press, below the histogram
constexpr double tickGapPx = 44.0;

int lineHeight(TypeSize size) { return QFontMetrics(typeFont(size)).height(); }

bool isSetting(const QModelIndex& index)
{
    return index.data(SessionTreeModel::PlaceRole).value<TreePlace>().kind == TreeKind::Setting;
}

} // namespace

SettingDelegate::SettingDelegate(QObject* parent)
    : QStyledItemDelegate(parent)
{
}

void SettingDelegate::setAxis(const stats::HistogramAxis& axis, std::int64_t tallest)
{
    m_axis = axis;
    m_tallest = tallest;
}

AxisMapping SettingDelegate::mapping(double left, double right) const
{
    return histogramMapping(m_axis, left, right);
}

void SettingDelegate::paint(
    QPainter* painter, const QStyleOptionViewItem& option, const QModelIndex& index) const
{
    painter->save();
    painter->setRenderHint(QPainter::Antialiasing);
    if ((option.state & QStyle::State_Selected) != 0) {
        painter->fillRect(option.rect, colours()[ColourRole::Selection]);
    } else if ((option.state & QStyle::State_MouseOver) != 0) {
        painter->fillRect(option.rect, colours()[ColourRole::Raised]);
    }
    if (isSetting(index)) {
        paintSetting(painter, option.rect, index);
    } else {
        paintLine(painter, option.rect, index);
    }
    if ((option.state & QStyle::State_HasFocus) != 0) {
        painter->setPen(QPen(colours()[ColourRole::StrongLine], 1));
        painter->setBrush(Qt::NoBrush);
        painter->drawRect(option.rect.adjusted(0, 0, -1, -1));
    }
    painter->restore();
}

void SettingDelegate::paintSetting(
    QPainter* painter, const QRect& rect, const QModelIndex& index) const
{
    const auto figures = index.data(SessionTreeModel::FiguresRole).value<SettingFigures>();
    const bool inHand = figures.id == m_inHand;
    const QColor text = colours()[ColourRole::Text];
    const QColor quiet = colours()[ColourRole::QuietText];
    QRect line = rect.adjusted(2, topGap, -sideGap, 0);
    line.setHeight(lineHeight(TypeSize::Base));

    const bool lostMost = !figures.summary.medianMs && figures.summary.noResponse > 0;
    // A figure of the wrong spot must not catch the eye here either.
    const bool showsNone = lostMost || figures.clipsDoubtful > 0;
    const QString median = showsNone ? QString(enDash) : medianText(figures.summary);
    painter->setFont(typeFont(TypeSize::Base, true));
    painter->setPen(text);
    painter->drawText(line, Qt::AlignRight | Qt::AlignVCenter, median);
    const int medianWidth = painter->fontMetrics().horizontalAdvance(median);
    painter->setFont(typeFont(TypeSize::Base, inHand));
    const QRect nameRect = line.adjusted(0, 0, -medianWidth - sideGap, 0);
    painter->drawText(nameRect, Qt::AlignLeft | Qt::AlignVCenter,
        painter->fontMetrics().elidedText(
            index.data().toString(), Qt::ElideRight, nameRect.width()));

    painter->setFont(typeFont(TypeSize::Small));
    painter->setPen(quiet);
    line.translate(0, line.height());
    line.setHeight(lineHeight(TypeSize::Small));
    const QString conditions = index.data(SessionTreeModel::NoteRole).toString();
    if (!conditions.isEmpty()) {
        painter->drawText(line, Qt::AlignLeft | Qt::AlignVCenter,
            painter->fontMetrics().elidedText(conditions, Qt::ElideRight, line.width()));
        line.translate(0, line.height());
    } else {
        line.translate(0, gapWithoutConditions);
    }
    paintHistogram(painter,
        QRectF(rect.left() + 2, line.top() + 2, rect.width() - 2 - sideGap, histogramHeight),
        figures);

    line.translate(0, histogramHeight + rugHeight + 3);
    painter->setFont(typeFont(TypeSize::Small));
    painter->setPen(quiet);
    painter->drawText(line, Qt::AlignLeft | Qt::AlignVCenter,
        painter->fontMetrics().elidedText(countNote(figures), Qt::ElideRight, line.width()));
}

void SettingDelegate::paintHistogram(
    QPainter* painter, const QRectF& rect, const SettingFigures& figures) const
{
    const AxisMapping axis = mapping(rect.left(), rect.right());
    const bool inHand = figures.id == m_inHand;
    painter->setRenderHint(QPainter::Antialiasing, false);
    if (m_axis.bins > 0) {
        painter->setPen(QPen(colours()[ColourRole::Line], 1, Qt::DotLine));
        for (const RulerTick& tick : rulerTicks(axis, tickGapPx)) {
            const double x = axis.toPx(tick.value);
            painter->drawLine(QPointF(x, rect.top()), QPointF(x, rect.bottom()));
        }
    }
    painter->setPen(QPen(colours()[ColourRole::Line], 1));
    painter->drawLine(rect.bottomLeft(), rect.bottomRight());
    painter->setRenderHint(QPainter::Antialiasing);
    painter->setPen(Qt::NoPen);
    painter->setBrush(colours()[inHand ? ColourRole::Text : ColourRole::StrongLine]);
    for (const HistogramBar& bar :
        histogramBars(figures.histogram, axis, rect.top() + 6, rect.bottom(), m_tallest)) {
        painter->drawRect(bar.rect);
    }
    // Every press as a tick: few presses make a coarse histogram.
    QColor tick = colours()[inHand ? ColourRole::Text : ColourRole::StrongLine];
    tick.setAlphaF(0.6F);
    painter->setPen(QPen(tick, 1));
    for (const Latency latency : figures.latencies) {
        const double x = axis.toPx(toMs(latency));
        painter->drawLine(QPointF(x, rect.bottom() + 1), QPointF(x, rect.bottom() + rugHeight));
    }
    painter->setPen(Qt::NoPen);
    // The median as a small pointer on top, its interval as the line it stands on.
    const stats::Summary& summary = figures.summary;
    if (summary.medianMs) {
        const double x = axis.toPx(*summary.medianMs);
        const QColor colour = colours()[ColourRole::Goggle];
        painter->setBrush(colour);
        painter->drawPolygon(
            QPolygonF({{x - 4, rect.top()}, {x + 4, rect.top()}, {x, rect.top() + 5}}));
        if (summary.medianLowMs && summary.medianHighMs) {
            painter->setPen(QPen(colour, 2));
            painter->drawLine(QPointF(axis.toPx(*summary.medianLowMs), rect.top()),
                QPointF(axis.toPx(*summary.medianHighMs), rect.top()));
        }
    }
}

void SettingDelegate::paintLine(
    QPainter* painter, const QRect& rect, const QModelIndex& index) const
{
    const bool isRun
        = index.data(SessionTreeModel::PlaceRole).value<TreePlace>().kind == TreeKind::Run;
    const QRect line = rect.adjusted(2, 0, -sideGap, 0);
    painter->setFont(typeFont(TypeSize::Small));
    const QString note = index.data(SessionTreeModel::NoteRole).toString();
    const int noteWidth
        = note.isEmpty() ? 0 : painter->fontMetrics().horizontalAdvance(note) + sideGap;
    painter->setPen(colours()[ColourRole::QuietText]);
    painter->drawText(line, Qt::AlignRight | Qt::AlignVCenter, note);
    painter->setFont(typeFont(isRun ? TypeSize::Base : TypeSize::Small));
    painter->setPen(colours()[ColourRole::Text]);
    const int room = std::max(0, line.width() - noteWidth);
    painter->drawText(line, Qt::AlignLeft | Qt::AlignVCenter,
        painter->fontMetrics().elidedText(index.data().toString(), Qt::ElideMiddle, room));
}

QSize SettingDelegate::sizeHint(const QStyleOptionViewItem& option, const QModelIndex& index) const
{
    if (!isSetting(index)) {
        return {option.rect.width(), lineHeight(TypeSize::Base) + 6};
    }
    const bool conditions = !index.data(SessionTreeModel::NoteRole).toString().isEmpty();
    return {option.rect.width(),
        topGap + lineHeight(TypeSize::Base) + lineHeight(TypeSize::Small)
            + (conditions ? lineHeight(TypeSize::Small) : gapWithoutConditions) + histogramHeight
            + rugHeight + 12};
}

void SettingDelegate::updateEditorGeometry(
    QWidget* editor, const QStyleOptionViewItem& option, const QModelIndex& index) const
{
    QRect rect = option.rect;
    if (isSetting(index)) {
        rect.setHeight(lineHeight(TypeSize::Base) + 10);
        rect.translate(0, topGap - 5);
    }
    editor->setGeometry(rect);
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/plots/trace_overlay.h"

#include "ui/theme/theme.h"
#include "ui/widgets/figures.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::ui {

namespace {

using session::Mark;

constexpr double handleSize = 8.0;
/// Marks closer than this are drawn as bare lines: handles would cover each other.
constexpr double roomForHandlesPx = 26.0;

struct MarkLook
{
    ColourRole role = ColourRole::Reference;
    Qt::PenStyle line = Qt::SolidLine;
    bool filled = true;
    bool round = false;
    bool whenCloseOnly = false;
    bool handle = true;
};

MarkLook lookOf(Mark mark)
{
    switch (mark) {
    case Mark::Onset:
        return {ColourRole::Reference, Qt::SolidLine, true, true, false};
    case Mark::FirstLight:
        return {ColourRole::Goggle, Qt::SolidLine, true, false, false};
    case Mark::HalfLight:
        return {ColourRole::Goggle, Qt::DashLine, false, false, true};
    case Mark::Settled:
        return {ColourRole::Goggle, Qt::SolidLine, false, false, true};
    case Mark::SweepStart:
        return {ColourRole::Panel, Qt::DotLine, false, false, true, false};
    case Mark::FullFrame:
        return {ColourRole::Panel, Qt::DotLine, false, false, true};
    }
    return {};
}

QColor veiled(QColor colour, float alpha)
{
    colour.setAlphaF(alpha);
    return colour;
}

} // namespace

TraceOverlay::TraceOverlay(QCustomPlot* plot, const QString& layer, const OverlayContent& content,
    QCPAxisRect* reference, QCPAxisRect* goggle)
    : QCPLayerable(plot, layer)
    , m_content(content)
    , m_reference(reference)
    , m_goggle(goggle)
{
}

void TraceOverlay::applyDefaultAntialiasingHint(QCPPainter* painter) const
{
    painter->setAntialiasing(true);
}

QCPAxisRect* TraceOverlay::rectOf(Lane lane) const
{
    return lane == Lane::Reference ? m_reference : m_goggle;
}

double TraceOverlay::xOf(double ms) const
{
    return m_goggle->axis(QCPAxis::atBottom)->coordToPixel(ms);
}

void TraceOverlay::draw(QCPPainter* painter)
{
    painter->setAntialiasing(true);
    const QRect both = m_reference->rect().united(m_goggle->rect());
    painter->setClipRect(both.adjusted(0, -1, 0, 1));
    if (!m_content.hint.isEmpty()) {
        drawHint(painter);
        return;
    }
    drawFrame(painter);
    auto nearest = static_cast<double>(both.width());
    std::optional<double> before;
    for (const session::EffectivePress& press : m_content.presses) {
        if (press.press.reference) {
            const double x = xOf(toMs(*press.press.reference));
            nearest = before ? std::min(nearest, std::abs(x - *before)) : nearest;
            before = x;
            drawPress(painter, press);
        }
    }
    const bool close = nearest >= roomForHandlesPx;
    for (std::size_t i = 0; i < m_content.marks.size(); ++i) {
        const bool inHand = m_content.marks[i].press == m_content.pressInHand;
        drawMark(painter, m_content.marks[i], close || inHand, m_content.markUnderPointer == i);
    }
}

void TraceOverlay::drawHint(QCPPainter* painter) const
{
    painter->setFont(typeFont(TypeSize::Base));
    painter->setPen(colours()[ColourRole::QuietText]);
    painter->drawText(m_reference->rect(), Qt::AlignCenter, m_content.hint);
}

void TraceOverlay::drawFrame(QCPPainter* painter) const
{
    if (!m_content.frameInHand) {
        return;
    }
    const double left = xOf(m_content.frameInHand->low);
    const double right = std::max(left + 1.0, xOf(m_content.frameInHand->high));
    for (const QCPAxisRect* rect : {m_reference, m_goggle}) {
        painter->fillRect(QRectF(left, rect->top(), right - left, rect->height()),
            veiled(colours()[ColourRole::Text], 0.12F));
        painter->setPen(QPen(colours()[ColourRole::Text], 1.0));
        painter->drawLine(QLineF(left, rect->top(), left, rect->bottom()));
    }
}

void TraceOverlay::drawPress(QCPPainter* painter, const session::EffectivePress& press) const
{
    if (!press.press.firstLight) {
        return;
    }
    const bool inHand = press.press.index == m_content.pressInHand;
    const double left = xOf(toMs(*press.press.reference));
    const double right = xOf(toMs(*press.press.firstLight));
    const QRect both = m_reference->rect().united(m_goggle->rect());
    if (right < both.left() || left > both.right()) {
        return;
    }
    const ColourRole role = press.press.accepted ? ColourRole::StrongLine : ColourRole::Doubt;
    const QRectF band(left, both.top(), right - left, both.height());
    painter->fillRect(band, veiled(colours()[role], inHand ? 0.22F : 0.10F));
    if (!press.press.accepted) {
        painter->fillRect(band, QBrush(veiled(colours()[role], 0.5F), Qt::BDiagPattern));
    }
    if (!inHand) {
        return;
    }
    drawLevels(painter, press.press);
    if (press.press.latency && band.width() > 24.0) {
        painter->setFont(typeFont(TypeSize::Small, true));
        painter->setPen(colours()[ColourRole::Text]);
        const QString text = latencyText(*press.press.latency, press.press.uncertainty);
        // After its edge the reference lamp is up or down: the middle of its lane is free.
        const QRectF room(band.center().x() - 90, m_reference->center().y() - 9.0, 180, 18);
        painter->drawText(room, Qt::AlignCenter, text);
    }
}

void TraceOverlay::drawLevels(QCPPainter* painter, const Press& press) const
{
    const auto level = [&](Lane lane, ColourRole role, double value, double fromMs, double toMs) {
        const double y = rectOf(lane)->axis(QCPAxis::atLeft)->coordToPixel(value);
        painter->setPen(QPen(veiled(colours()[role], 0.9F), 1.0, Qt::DashLine));
        painter->drawLine(QLineF(xOf(fromMs), y, xOf(toMs), y));
    };
    constexpr double reachMs = 14.0;
    const double onset = toMs(*press.reference);
    level(Lane::Reference, ColourRole::Reference, press.referenceBefore, onset - reachMs, onset);
    level(Lane::Reference, ColourRole::Reference, press.referenceAfter, onset, onset + reachMs);
    if (press.firstLight) {
        const double first = toMs(*press.firstLight);
        const double settled = press.settled ? toMs(*press.settled) : first;
        level(Lane::Goggle, ColourRole::Goggle, press.goggleBefore, first - reachMs, first);
        level(Lane::Goggle, ColourRole::Goggle, press.goggleAfter, settled, settled + reachMs);
    }
}

void TraceOverlay::drawMark(
    QCPPainter* painter, const TraceMark& mark, bool close, bool underPointer) const
{
    const MarkLook look = lookOf(mark.mark);
    const bool inHand = mark.press == m_content.pressInHand;
    const QCPAxisRect* rect = rectOf(laneOf(mark.mark));
    const double x = xOf(toMs(mark.time));
    if ((look.whenCloseOnly && !inHand) || x < rect->left() - handleSize
        || x > rect->right() + handleSize) {
        return;
    }
    const QColor colour = colours()[mark.accepted ? look.role : ColourRole::Doubt];
    if (mark.measured) {
        painter->setPen(QPen(veiled(colour, 0.7F), 1.0, Qt::DotLine));
        const double was = xOf(toMs(*mark.measured));
        painter->drawLine(QLineF(was, rect->top(), was, rect->bottom()));
    }
    painter->setPen(QPen(colour, underPointer ? 3.0 : inHand ? 2.0 : 1.25, look.line));
    const double top = rect->top() + (close ? handleSize : 0.0);
    painter->drawLine(QLineF(x, top, x, rect->bottom()));
    if (!close || !look.handle) {
        return;
    }
    painter->setPen(QPen(colour, 1.5));
    painter->setBrush(look.filled ? colour : colours()[ColourRole::Ground]);
    const double size = underPointer ? handleSize + 3.0 : handleSize;
    const QRectF handle(x - size / 2.0, rect->top() + 1.0, size, size);
    if (look.round) {
        painter->drawEllipse(handle);
    } else {
        painter->drawRect(handle);
    }
    painter->setBrush(Qt::NoBrush);
}

} // namespace twinlamp::ui

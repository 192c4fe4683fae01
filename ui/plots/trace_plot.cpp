// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/plots/trace_plot.h"

#include "ui/plots/qcp.h"
#include "ui/plots/trace_overlay.h"
#include "ui/theme/theme.h"

#include <QEvent>
#include <QPainter>
#include <QVBoxLayout>

#include <algorithm>
#include <cmath>
#include <limits>

namespace twinlamp::ui {

namespace {

constexpr double tickGapPx = 80.0;
constexpr double shortestFrames = 6.0;
constexpr double secondsFromMs = 3000.0; ///< spans longer than this read in seconds

const QString overlayLayer = QStringLiteral("marks");

} // namespace

TracePlot::TracePlot(QWidget* parent)
    : QWidget(parent)
    , m_plot(new QCustomPlot(this))
    , m_overlay(std::make_unique<OverlayContent>())
{
    setFocusPolicy(Qt::StrongFocus);
    setMinimumHeight(96);
    setAccessibleName(tr("Light of both lamps over time"));
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(1, 1, 1, 1); // the frame of the keyboard focus
    layout->addWidget(m_plot);
    buildPlot();
    applyColours();
    showHint();
    m_plot->setFocusPolicy(Qt::NoFocus);
    m_plot->setMouseTracking(true);
    m_plot->installEventFilter(this);
}

TracePlot::~TracePlot() = default;

void TracePlot::buildPlot()
{
    m_plot->plotLayout()->clear();
    m_plot->plotLayout()->setRowSpacing(4);
    m_referenceRect = new QCPAxisRect(m_plot);
    m_goggleRect = new QCPAxisRect(m_plot);
    m_plot->plotLayout()->addElement(0, 0, m_referenceRect);
    m_plot->plotLayout()->addElement(1, 0, m_goggleRect);
    auto* margins = new QCPMarginGroup(m_plot);
    for (QCPAxisRect* rect : {m_referenceRect, m_goggleRect}) {
        rect->setMarginGroup(QCP::msLeft | QCP::msRight, margins);
        rect->setMinimumMargins(QMargins(8, 2, 8, 0));
        rect->axis(QCPAxis::atTop)->setVisible(false);
        rect->axis(QCPAxis::atRight)->setVisible(false);
        rect->axis(QCPAxis::atLeft)->ticker()->setTickCount(2);
        rect->axis(QCPAxis::atLeft)->setSubTicks(false);
        rect->axis(QCPAxis::atLeft)->setNumberFormat(QStringLiteral("f"));
        rect->axis(QCPAxis::atLeft)->setNumberPrecision(2);
        rect->axis(QCPAxis::atBottom)->setSubTicks(false);
        rect->axis(QCPAxis::atBottom)
            ->setTicker(QSharedPointer<QCPAxisTicker>(new QCPAxisTickerText));
        // Axes and grid join the main layer, so that the overlay is the only other buffer.
        for (auto* axis : rect->axes()) {
            axis->setLayer(QStringLiteral("grid"));
            axis->grid()->setLayer(QStringLiteral("grid"));
        }
    }
    m_referenceRect->axis(QCPAxis::atBottom)->setTickLabels(false);
    m_referenceRect->axis(QCPAxis::atBottom)->setTicks(false);
    m_referenceRect->setMinimumMargins(QMargins(8, 2, 8, 2));
    m_referenceGraph = m_plot->addGraph(
        m_referenceRect->axis(QCPAxis::atBottom), m_referenceRect->axis(QCPAxis::atLeft));
    m_goggleGraph = m_plot->addGraph(
        m_goggleRect->axis(QCPAxis::atBottom), m_goggleRect->axis(QCPAxis::atLeft));
    m_plot->addLayer(overlayLayer, m_plot->layer(QStringLiteral("main")), QCustomPlot::limAbove);
    m_plot->layer(overlayLayer)->setMode(QCPLayer::lmBuffered);
    new TraceOverlay(m_plot, overlayLayer, *m_overlay, m_referenceRect, m_goggleRect);
}

void TracePlot::applyColours()
{
    const Colours& c = colours();
    m_plot->setBackground(QBrush(c[ColourRole::Ground]));
    const QPen line(c[ColourRole::Line], 1);
    for (QCPAxisRect* rect : {m_referenceRect, m_goggleRect}) {
        rect->setBackground(QBrush(c[ColourRole::Surface]));
        for (QCPAxis* axis : rect->axes()) {
            axis->setBasePen(line);
            axis->setTickPen(line);
            axis->setTickLabelColor(c[ColourRole::QuietText]);
            axis->setLabelColor(c[ColourRole::QuietText]);
            axis->setTickLabelFont(typeFont(TypeSize::Small));
            axis->setLabelFont(typeFont(TypeSize::Small));
            axis->setTickLengthOut(3);
            axis->setTickLengthIn(0);
            axis->grid()->setPen(QPen(c[ColourRole::Line], 1, Qt::DotLine));
            axis->grid()->setZeroLinePen(Qt::NoPen);
        }
        rect->axis(QCPAxis::atLeft)->grid()->setVisible(false);
    }
    m_referenceGraph->setPen(QPen(c[ColourRole::Reference], 1.5));
    m_goggleGraph->setPen(QPen(c[ColourRole::Goggle], 1.5));
    m_plot->replot(QCustomPlot::rpQueuedReplot);
}

void TracePlot::setTraces(const std::shared_ptr<const ClipTraces>& traces)
{
    m_traces = traces;
    showHint();
    m_reference.replaceBy(
        traces ? std::span<const float>(traces->reference) : std::span<const float>());
    m_goggle.replaceBy(traces ? std::span<const float>(traces->goggle) : std::span<const float>());
    fitLevels();
    showSpan(m_span.length() > 1.0 && traces ? m_span : whole());
}

void TracePlot::showHint()
{
    const bool empty = !m_traces || m_traces->frameCount() == 0;
    m_overlay->hint
        = empty ? tr("The light of both lamps appears here once the clip is measured.") : QString();
    for (QCPAxisRect* rect : {m_referenceRect, m_goggleRect}) {
        rect->axis(QCPAxis::atLeft)->setTickLabels(!empty);
        rect->axis(QCPAxis::atLeft)->setTicks(!empty);
    }
    m_goggleRect->axis(QCPAxis::atBottom)->setTickLabels(!empty);
    if (empty) {
        m_overlay->frameInHand.reset();
    }
}

void TracePlot::growTraces(const std::shared_ptr<const ClipTraces>& traces)
{
    m_traces = traces;
    showHint();
    m_reference.extendTo(traces->reference);
    m_goggle.extendTo(traces->goggle);
    fitLevels();
    applySpan();
}

void TracePlot::setClipLength(double ms)
{
    // Told again with every change of the session: what is in view stays in view.
    if (ms != m_clipLengthMs) {
        m_clipLengthMs = ms;
        showAll();
    }
}

void TracePlot::setPresses(std::vector<session::EffectivePress> presses, std::optional<int> inHand)
{
    if (m_pull && m_pull->movesMark && m_pull->moved) {
        return; // the hand that pulls is right until it lets go
    }
    m_overlay->presses = std::move(presses);
    m_overlay->marks = traceMarks(m_overlay->presses);
    m_overlay->pressInHand = inHand;
    m_overlay->markUnderPointer.reset();
    replotOverlay();
}

void TracePlot::setMarksMovable(bool movable) { m_movable = movable; }

const std::vector<TraceMark>& TracePlot::marks() const { return m_overlay->marks; }

QPoint TracePlot::positionOf(RealTime time, Lane lane) const
{
    const QCPAxisRect* rect = lane == Lane::Reference ? m_referenceRect : m_goggleRect;
    return m_plot->mapTo(
        this, QPoint(static_cast<int>(std::lround(axis().toPx(toMs(time)))), rect->center().y()));
}

void TracePlot::setFrame(FrameIndex frame)
{
    m_frame = frame;
    if (!m_traces || frame.value >= static_cast<std::int64_t>(m_traces->frameCount())) {
        return;
    }
    const double start = toMs(m_traces->exposureStart[static_cast<std::size_t>(frame.value)]);
    m_overlay->frameInHand = MsSpan {start, start + frameMs()};
    if (start < m_span.low || start > m_span.high) {
        const double half = m_span.length() / 2.0;
        showSpan({start - half, start + half});
    } else {
        replotOverlay();
    }
}

double TracePlot::frameMs() const
{
    const std::size_t count = m_traces ? m_traces->frameCount() : 0;
    if (count < 2) {
        return 1.0;
    }
    const auto k = static_cast<std::size_t>(std::max<std::int64_t>(0, m_frame.value));
    const std::size_t first = std::min(k, count - 2);
    return toMs(m_traces->exposureStart[first + 1] - m_traces->exposureStart[first]);
}

MsSpan TracePlot::whole() const
{
    const double known = m_traces && m_traces->frameCount() > 0
        ? toMs(m_traces->exposureStart.back()) + frameMs()
        : 0.0;
    return {0.0, std::max({known, m_clipLengthMs, 1.0})};
}

void TracePlot::showAll() { showSpan(whole()); }

void TracePlot::showSpan(MsSpan span)
{
    m_span = keptInside(span, whole(), std::min(whole().length(), shortestFrames * frameMs()));
    applySpan();
}

void TracePlot::applySpan()
{
    for (QCPAxisRect* rect : {m_referenceRect, m_goggleRect}) {
        rect->axis(QCPAxis::atBottom)->setRange(m_span.low, m_span.high);
    }
    fillTicks();
    fillGraphs();
    m_plot->replot(QCustomPlot::rpQueuedReplot);
}

AxisMapping TracePlot::axis() const
{
    return {m_span.low, m_span.high, static_cast<double>(m_goggleRect->left()),
        static_cast<double>(m_goggleRect->right())};
}

void TracePlot::fillTicks()
{
    auto ticker = m_goggleRect->axis(QCPAxis::atBottom)->ticker().dynamicCast<QCPAxisTickerText>();
    ticker->clear();
    const bool seconds = m_span.length() >= secondsFromMs;
    const double unit = seconds ? 1e3 : 1.0;
    AxisMapping inUnit = axis();
    inUnit.low /= unit;
    inUnit.high /= unit;
    for (const RulerTick& tick : rulerTicks(inUnit, tickGapPx)) {
        ticker->addTick(tick.value * unit,
            tick.label + QChar(0x2009) + (seconds ? QStringLiteral("s") : QStringLiteral("ms")));
    }
    m_referenceRect->axis(QCPAxis::atBottom)->setTicker(ticker);
}

void TracePlot::fillGraphs()
{
    fillGraph(m_referenceGraph, m_reference);
    fillGraph(m_goggleGraph, m_goggle);
}

void TracePlot::fillGraph(QCPGraph* graph, const TracePyramid& pyramid) const
{
    QVector<double> keys;
    QVector<double> values;
    if (m_traces && pyramid.size() > 0) {
        const auto& at = m_traces->exposureStart;
        const auto from = std::ranges::lower_bound(at, realTimeFromMs(m_span.low));
        const auto to = std::ranges::upper_bound(at, realTimeFromMs(m_span.high));
        const auto first
            = static_cast<std::size_t>(std::max<std::ptrdiff_t>(0, from - at.begin() - 1));
        const auto last = std::min(pyramid.size(), static_cast<std::size_t>(to - at.begin()) + 1);
        const auto columns = static_cast<std::size_t>(std::max(1, m_goggleRect->width()));
        if (first < last && last - first > 2 * columns) {
            const auto extents = pyramid.columns(first, last, columns);
            for (std::size_t i = 0; i < extents.size(); ++i) {
                const double x = toMs(at[first + i * (last - first) / columns]);
                if (extents[i].isEmpty()) {
                    // No line where no frame was read.
                    keys << x;
                    values << std::numeric_limits<double>::quiet_NaN();
                } else {
                    keys << x << x;
                    values << static_cast<double>(extents[i].low)
                           << static_cast<double>(extents[i].high);
                }
            }
            graph->setLineStyle(QCPGraph::lsLine);
        } else {
            for (std::size_t k = first; k < last; ++k) {
                keys << toMs(at[k]);
                values << static_cast<double>(pyramid.values()[k]);
            }
            // The mean light of a frame holds for its whole interval.
            graph->setLineStyle(QCPGraph::lsStepLeft);
        }
    }
    graph->setData(keys, values, true);
}

int TracePlot::drawnPoints() const
{
    return m_referenceGraph->dataCount() + m_goggleGraph->dataCount();
}

void TracePlot::fitLevels()
{
    const auto fit = [](QCPAxisRect* rect, const TracePyramid& pyramid) {
        Extent extent = pyramid.extent(0, pyramid.size());
        if (extent.isEmpty()) {
            extent = {0.0F, 1.0F};
        }
        const double span = std::max(0.002, static_cast<double>(extent.high - extent.low));
        // Room above for the handles of the marks.
        rect->axis(QCPAxis::atLeft)
            ->setRange(static_cast<double>(extent.low) - 0.08 * span,
                static_cast<double>(extent.high) + 0.3 * span);
    };
    fit(m_referenceRect, m_reference);
    fit(m_goggleRect, m_goggle);
}

void TracePlot::replotOverlay() { m_plot->layer(overlayLayer)->replot(); }

void TracePlot::changeEvent(QEvent* event)
{
    if (event->type() == QEvent::PaletteChange) {
        applyColours();
    }
    QWidget::changeEvent(event);
}

void TracePlot::paintEvent(QPaintEvent* /*event*/)
{
    if (hasFocus()) {
        QPainter painter(this);
        painter.setPen(colours()[ColourRole::StrongLine]);
        painter.drawRect(rect().adjusted(0, 0, -1, -1));
    }
}

void TracePlot::resizeEvent(QResizeEvent* event)
{
    QWidget::resizeEvent(event);
    // The lanes get their new width only with the plot's own layout pass.
    QMetaObject::invokeMethod(this, &TracePlot::applySpan, Qt::QueuedConnection);
}

} // namespace twinlamp::ui

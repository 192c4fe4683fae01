// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/plots/agreement_chart.h"

#include "ui/plots/qcp.h"
#include "ui/theme/theme.h"
#include "ui/widgets/figures.h"

#include <QEvent>
#include <QMouseEvent>
#include <QToolTip>
#include <QVBoxLayout>

#include <cmath>

namespace twinlamp::ui {

namespace {

constexpr double markPx = 7.0;
constexpr double reachPx = 10.0; ///< how far a pointer may be from the mark that it means
constexpr int bandAlpha = 40;

QPointF placeOf(const report::NamedPair& pair)
{
    return {(pair.pair.readout + pair.pair.measured) / 2.0, pair.pair.readout - pair.pair.measured};
}

struct AgreementLines
{
    stats::Estimate bias;
    stats::Estimate lowerLimit;
    stats::Estimate upperLimit;
};

/// By runs where there are enough of them: what the sentences tell.
std::optional<AgreementLines> linesOf(const report::ReadoutCheck& check)
{
    if (check.byRuns && check.of == report::PairsOf::Presses) {
        return AgreementLines {
            check.byRuns->bias, check.byRuns->lowerLimit, check.byRuns->upperLimit};
    }
    return check.agreement ? std::optional(AgreementLines {
               check.agreement->bias, check.agreement->lowerLimit, check.agreement->upperLimit})
                           : std::nullopt;
}

} // namespace

AgreementChart::AgreementChart(QWidget* parent)
    : QWidget(parent)
    , m_plot(new QCustomPlot(this))
{
    setAccessibleName(tr("Readout less measured latency, over the mean of both"));
    auto* layout = new QVBoxLayout(this);
    layout->setContentsMargins(0, 0, 0, 0);
    layout->addWidget(m_plot);
    m_marks = m_plot->addGraph();
    m_marks->setLineStyle(QCPGraph::lsNone);
    m_plot->xAxis->setLabel(tr("mean of readout and measured, ms"));
    m_plot->yAxis->setLabel(tr("readout less measured, ms"));
    for (QCPAxis* axis : {m_plot->xAxis, m_plot->yAxis}) {
        axis->setSubTicks(false);
        axis->setTickLengthIn(0);
        axis->setTickLengthOut(3);
    }
    m_plot->installEventFilter(this);
    m_plot->setMouseTracking(true);
    m_plot->setFocusPolicy(Qt::NoFocus);
    applyColours();
    draw();
}

void AgreementChart::setCheck(const report::ReadoutCheck& check)
{
    m_check = check;
    draw();
}

void AgreementChart::applyColours()
{
    const Colours& c = colours();
    m_plot->setBackground(QBrush(c[ColourRole::Ground]));
    m_plot->axisRect()->setBackground(QBrush(c[ColourRole::Surface]));
    for (QCPAxis* axis : {m_plot->xAxis, m_plot->yAxis}) {
        axis->setBasePen(QPen(c[ColourRole::Line], 1));
        axis->setTickPen(QPen(c[ColourRole::Line], 1));
        axis->setTickLabelColor(c[ColourRole::QuietText]);
        axis->setLabelColor(c[ColourRole::QuietText]);
        axis->setTickLabelFont(typeFont(TypeSize::Small));
        axis->setLabelFont(typeFont(TypeSize::Small));
        axis->grid()->setVisible(false);
    }
    m_marks->setScatterStyle(QCPScatterStyle(
        QCPScatterStyle::ssSquare, QPen(c[ColourRole::Goggle], 1.3), QBrush(Qt::NoBrush), markPx));
}

void AgreementChart::addLine(double value, const QString& name, bool limit)
{
    const Colours& c = colours();
    auto* line = new QCPItemStraightLine(m_plot);
    line->point1->setCoords(0.0, value);
    line->point2->setCoords(1.0, value);
    line->setPen(QPen(c[ColourRole::Text], 1.3, limit ? Qt::DashLine : Qt::SolidLine));
    auto* label = new QCPItemText(m_plot);
    label->position->setTypeX(QCPItemPosition::ptAxisRectRatio);
    label->position->setTypeY(QCPItemPosition::ptPlotCoords);
    label->position->setCoords(1.0, value);
    label->setPositionAlignment(Qt::AlignRight | Qt::AlignBottom);
    label->setPadding(QMargins(0, 0, 6, 1));
    label->setFont(typeFont(TypeSize::Small, true));
    label->setColor(c[ColourRole::Text]);
    label->setText(name);
}

void AgreementChart::addBand(const stats::Interval& interval)
{
    if (!interval.low || !interval.high) {
        return;
    }
    auto* band = new QCPItemRect(m_plot);
    band->topLeft->setTypeX(QCPItemPosition::ptAxisRectRatio);
    band->bottomRight->setTypeX(QCPItemPosition::ptAxisRectRatio);
    band->topLeft->setTypeY(QCPItemPosition::ptPlotCoords);
    band->bottomRight->setTypeY(QCPItemPosition::ptPlotCoords);
    band->topLeft->setCoords(0.0, *interval.high);
    band->bottomRight->setCoords(1.0, *interval.low);
    QColor colour = colours()[ColourRole::QuietText];
    colour.setAlpha(bandAlpha);
    band->setPen(Qt::NoPen);
    band->setBrush(colour);
}

void AgreementChart::draw()
{
    m_plot->clearItems();
    QVector<double> means;
    QVector<double> differences;
    QCPRange range {0.0, 0.0};
    for (const report::NamedPair& pair : m_check.pairs) {
        const QPointF place = placeOf(pair);
        means << place.x();
        differences << place.y();
        range.expand(place.y());
    }
    m_marks->setData(means, differences);
    if (const auto lines = linesOf(m_check)) {
        addBand(lines->lowerLimit.interval);
        addBand(lines->bias.interval);
        addBand(lines->upperLimit.interval);
        addLine(lines->upperLimit.value, tr("upper limit of agreement"), true);
        addLine(lines->bias.value, tr("bias"), false);
        addLine(lines->lowerLimit.value, tr("lower limit of agreement"), true);
        range.expand(lines->lowerLimit.interval.low.value_or(0.0));
        range.expand(lines->upperLimit.interval.high.value_or(0.0));
    }
    auto* zero = new QCPItemStraightLine(m_plot);
    zero->point1->setCoords(0.0, 0.0);
    zero->point2->setCoords(1.0, 0.0);
    zero->setPen(QPen(colours()[ColourRole::StrongLine], 1, Qt::DotLine));
    m_marks->rescaleKeyAxis();
    constexpr double room = 1.15;
    m_plot->xAxis->scaleRange(room);
    if (means.size() == 1) {
        m_plot->xAxis->setRange(means.front() - 1.0, means.front() + 1.0);
    }
    m_plot->yAxis->setRange(range.size() > 0.0 ? range : QCPRange(-1.0, 1.0));
    m_plot->yAxis->scaleRange(room);
    m_plot->setVisible(!m_check.pairs.empty());
    m_plot->replot(QCustomPlot::rpQueuedReplot);
}

int AgreementChart::pairAt(QPointF place) const
{
    int nearest = -1;
    double reach = reachPx;
    for (std::size_t i = 0; i < m_check.pairs.size(); ++i) {
        const QPointF mark = placeOf(m_check.pairs[i]);
        const double away = std::hypot(m_plot->xAxis->coordToPixel(mark.x()) - place.x(),
            m_plot->yAxis->coordToPixel(mark.y()) - place.y());
        if (away <= reach) {
            reach = away;
            nearest = static_cast<int>(i);
        }
    }
    return nearest;
}

bool AgreementChart::eventFilter(QObject* watched, QEvent* event)
{
    if (event->type() == QEvent::MouseMove) {
        const auto* mouse = static_cast<QMouseEvent*>(event);
        const int pair = pairAt(mouse->position());
        if (pair < 0) {
            QToolTip::hideText();
        } else {
            const report::NamedPair& named = m_check.pairs[static_cast<std::size_t>(pair)];
            const QString name = QString::fromStdString(named.setting);
            const QString which = named.press > 0
                ? tr("%1, %2, press %3")
                      .arg(name, QString::fromStdString(named.clip))
                      .arg(named.press)
                : name;
            QToolTip::showText(mouse->globalPosition().toPoint(),
                tr("%1: goggle says %2, measured %3")
                    .arg(which, msText(named.pair.readout, 2), msText(named.pair.measured, 2)),
                this);
        }
    } else if (event->type() == QEvent::MouseButtonPress) {
        const int pair = pairAt(static_cast<QMouseEvent*>(event)->position());
        if (pair >= 0) {
            Q_EMIT pairPicked(pair);
        }
    }
    return QWidget::eventFilter(watched, event);
}

void AgreementChart::changeEvent(QEvent* event)
{
    if (event->type() == QEvent::PaletteChange) {
        applyColours();
        draw();
    }
    QWidget::changeEvent(event);
}

} // namespace twinlamp::ui

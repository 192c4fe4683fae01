// SPDX-License-Identifier: GPL-3.0-or-later
// How the page is built and wired; what it shows is in bench_page_views.cpp.
#include "ui/pages/bench_page.h"

#include "ui/footage/footage_pane.h"
#include "ui/footage/footage_view.h"
#include "ui/footage/lamp_closeups.h"
#include "ui/jobs/frame_fetcher.h"
#include "ui/pages/empty_page.h"
#include "ui/plots/trace_pane.h"
#include "ui/plots/trace_plot.h"
#include "ui/widgets/answer_strip.h"
#include "ui/widgets/ask_bar.h"
#include "ui/widgets/clip_facts_panel.h"
#include "ui/widgets/marking.h"
#include "ui/widgets/press_panel.h"
#include "ui/widgets/press_table.h"
#include "ui/widgets/region_numbers.h"
#include "ui/widgets/session_panel.h"

#include <QLabel>
#include <QScrollArea>
#include <QSplitter>
#include <QStackedWidget>
#include <QVBoxLayout>

namespace twinlamp::ui {

namespace {

constexpr int panelWidth = 272;
constexpr int sideWidth = 280;

QSplitter* splitter(Qt::Orientation orientation)
{
    auto* result = new QSplitter(orientation);
    result->setChildrenCollapsible(false);
    result->setHandleWidth(5);
    return result;
}

} // namespace

BenchPage::BenchPage(SessionDocument& document, QThreadPool& pool, QWidget* parent)
    : QWidget(parent)
    , m_document(document)
    , m_desk(new BenchDesk(document, pool, this))
{
    setObjectName(QStringLiteral("page"));
    setAttribute(Qt::WA_StyledBackground);
    build();
    wireDesk();
    wireViews();
    showFootage();
    showAnswer();
    showPresses();
    showWork();
}

BenchPage::~BenchPage() = default;

void BenchPage::build()
{
    m_panel = new SessionPanel(m_document);
    m_answer = new AnswerStrip;
    m_asks = new AskStack;
    m_table = new PressTable;
    auto* body = splitter(Qt::Horizontal);
    body->addWidget(m_panel);
    body->addWidget(buildCentre());
    body->setSizes({panelWidth, 4 * panelWidth});
    body->setStretchFactor(0, 0);
    body->setStretchFactor(1, 1);
    auto* all = splitter(Qt::Vertical);
    all->addWidget(body);
    all->addWidget(m_table);
    all->setStretchFactor(0, 4); // a tall window shows more presses as well
    all->setStretchFactor(1, 1);
    all->setSizes({600, 150});
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
    column->addWidget(m_answer);
    column->addWidget(m_asks);
    column->addWidget(all, 1);
}

QWidget* BenchPage::buildCentre()
{
    m_footage = new FootagePane;
    m_traces = new TracePane;
    m_empty = new EmptyPage;
    auto* upDown = splitter(Qt::Vertical);
    upDown->addWidget(m_footage);
    upDown->addWidget(m_traces);
    upDown->setStretchFactor(0, 3);
    upDown->setStretchFactor(1, 1);
    upDown->setSizes({360, 150});
    auto* leftRight = splitter(Qt::Horizontal);
    leftRight->addWidget(upDown);
    leftRight->addWidget(buildSide());
    leftRight->setStretchFactor(0, 1);
    leftRight->setStretchFactor(1, 0);
    leftRight->setSizes({900, sideWidth});
    m_stack = new QStackedWidget;
    m_stack->addWidget(m_empty);
    m_stack->addWidget(leftRight);
    return m_stack;
}

QWidget* BenchPage::buildSide()
{
    auto* side = new QWidget;
    side->setObjectName(QStringLiteral("sideColumn"));
    auto* column = new QVBoxLayout(side);
    column->setContentsMargins(12, 4, 12, 4);
    column->setSpacing(4);
    m_closeups = new LampCloseups(m_footage->fetcher());
    m_press = new PressPanel;
    m_numbers = new RegionNumbers;
    m_facts = new ClipFactsPanel;
    column->addWidget(headingLabel(tr("Lamp close-ups")));
    column->addWidget(m_closeups);
    column->addSpacing(8);
    column->addWidget(m_press);
    column->addSpacing(8);
    column->addWidget(m_numbers);
    column->addSpacing(8);
    column->addWidget(m_facts);
    column->addStretch();
    auto* scroll = new QScrollArea;
    scroll->setWidget(side);
    scroll->setWidgetResizable(true);
    scroll->setFrameShape(QFrame::NoFrame);
    scroll->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    scroll->setMinimumWidth(sideWidth - 40);
    return scroll;
}

void BenchPage::wireDesk()
{
    connect(m_desk, &BenchDesk::clipPicked, this, [this] {
        withdrawWhatIsDone();
        if (const session::Clip* clip = m_desk->clip()) {
            const auto place = m_panel->place();
            const bool inside = place && place->kind != TreeKind::Clip && tableSpansClips();
            if (!inside) {
                m_panel->pick({TreeKind::Clip, clip->id.value});
            }
        }
        showAnswer();
    });
    connect(m_desk, &BenchDesk::footageChanged, this, &BenchPage::showFootage);
    connect(m_desk, &BenchDesk::regionsChanged, this, &BenchPage::showRegions);
    connect(m_desk, &BenchDesk::tracesChanged, this, &BenchPage::showTraces);
    connect(m_desk, &BenchDesk::tracesFilledIn, this, &BenchPage::showFilledTraces);
    connect(m_desk, &BenchDesk::fillingInChanged, this, [this] {
        showClipNotes();
        showFacts();
    });
    connect(m_desk, &BenchDesk::foundOtherwise, this, &BenchPage::tellOfOtherPresses);
    connect(m_desk, &BenchDesk::pressesChanged, this, &BenchPage::showPresses);
    connect(m_desk, &BenchDesk::pressPicked, this, &BenchPage::showPressInHand);
    connect(m_desk, &BenchDesk::workChanged, this, &BenchPage::showWork);
    connect(m_desk, &BenchDesk::rateWanted, this, &BenchPage::askRate);
    connect(m_desk, &BenchDesk::measuringFailed, this, &BenchPage::takeFailure);
    connect(m_desk, &BenchDesk::placingWanted, this, &BenchPage::askToPlaceRegions);
    connect(m_desk, &BenchDesk::noAnswerFound, this, &BenchPage::askAboutNoAnswer);
    connect(m_desk, &BenchDesk::sameFootageFound, this, &BenchPage::askAboutSameFootage);
    connect(&m_document, &SessionDocument::changed, this, [this] {
        showAnswer();
        showPresses();
        withdrawWhatIsDone();
    });
    connect(&m_document, &SessionDocument::replaced, this, &BenchPage::withdrawAll);
    connect(&m_document, &SessionDocument::failed, this,
        [this](const QString& sentence) { tell(QStringLiteral("session"), sentence); });
}

void BenchPage::wireViews()
{
    connect(m_panel, &SessionPanel::placePicked, this, &BenchPage::onPlacePicked);
    connect(m_panel, &SessionPanel::addClipsAsked, this, &BenchPage::chooseClipsAsked);
    connect(m_panel, &SessionPanel::filesDropped, this, &BenchPage::addClips);
    connect(m_empty, &EmptyPage::chooseClipsAsked, this, &BenchPage::chooseClipsAsked);
    connect(m_answer, &AnswerStrip::stopAsked, m_desk, &BenchDesk::stop);
    connect(m_answer, &AnswerStrip::stopAsked, this, &BenchPage::stopAsked);
    connect(m_answer, &AnswerStrip::measureAsked, m_desk, &BenchDesk::measureAgain);

    connect(m_footage, &FootagePane::regionMoved, m_desk, &BenchDesk::moveRegion);
    connect(m_footage, &FootagePane::regionPulled, m_numbers, &RegionNumbers::showPulled);
    connect(m_footage, &FootagePane::cornersMoved, m_desk, &BenchDesk::moveCorners);
    connect(m_footage, &FootagePane::cornersPulled, m_numbers, &RegionNumbers::showPulledCorners);
    const auto pickAndGo = [this](int press) {
        m_desk->pickPress(press);
        goToPress();
    };
    connect(m_footage, &FootagePane::pressPicked, this, pickAndGo);
    connect(m_footage, &FootagePane::pressStepAsked, this, &BenchPage::stepPress);
    connect(m_footage, &FootagePane::rateChangeAsked, this, &BenchPage::askRate);
    connect(m_footage, &FootagePane::flashWarningAsked, this, &BenchPage::askBeforePlaying);
    connect(&m_footage->playhead(), &Playhead::frameChanged, this, [this](FrameIndex frame) {
        m_desk->makeRoom();
        m_traces->plot().setFrame(frame);
        m_closeups->setFrame(frame);
    });
    connect(m_closeups, &LampCloseups::frameAsked, &m_footage->playhead(), &Playhead::goTo);
    connect(m_numbers, &RegionNumbers::regionTyped, m_desk, &BenchDesk::moveRegion);
    connect(m_numbers, &RegionNumbers::cornersTyped, m_desk, &BenchDesk::moveCorners);
    connect(m_numbers, &RegionNumbers::regionPicked, this, [this](RegionKind kind) {
        m_footage->view().pickRegion(kind);
        m_footage->view().setFocus();
    });

    wirePressViews();
}

void BenchPage::wirePressViews()
{
    TracePlot* plot = &m_traces->plot();
    connect(plot, &TracePlot::timeAsked, m_footage, &FootagePane::goTo);
    connect(plot, &TracePlot::stepAsked, this,
        [this](int frames) { m_footage->playhead().step(frames); });
    connect(plot, &TracePlot::pressStepAsked, this, &BenchPage::stepPress);
    connect(plot, &TracePlot::pressPicked, this, [this](int press) { m_desk->pickPress(press); });
    connect(plot, &TracePlot::markMoved, m_desk, &BenchDesk::moveMark);
    connect(
        m_traces, &TracePane::viewChosen, this, [this] { showPressView(m_traces->showsPress()); });

    connect(m_press, &PressPanel::markTyped, this, [this](session::Mark mark, RealTime time) {
        if (m_desk->press()) {
            m_desk->moveMark(*m_desk->press(), mark, time);
        }
    });
    connect(m_press, &PressPanel::markReset, this, [this](session::Mark mark) {
        if (m_desk->press()) {
            m_desk->resetMark(*m_desk->press(), mark);
        }
    });
    connect(m_press, &PressPanel::readoutTyped, this, [this](std::optional<double> latencyMs) {
        if (m_desk->press()) {
            m_desk->setReadout(*m_desk->press(), latencyMs);
        }
    });
    const auto inHand = [this] {
        return session::PressAddress {
            m_desk->clip() != nullptr ? m_desk->clip()->id : session::ClipId {},
            m_desk->press().value_or(-1)};
    };
    connect(m_press, &PressPanel::setAsideAsked, this,
        [this, inHand] { acceptOrSetAside(inHand(), false); });
    connect(m_press, &PressPanel::acceptAsked, this,
        [this, inHand] { acceptOrSetAside(inHand(), true); });
    connect(m_table, &PressTable::pressPicked, this, &BenchPage::pickPress);
    connect(m_table, &PressTable::explainAsked, this, &BenchPage::explainPress);
    connect(m_table, &PressTable::acceptAsked, this, &BenchPage::acceptOrSetAside);
    connect(m_table, &PressTable::reasonTyped, m_desk, &BenchDesk::setAside);
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/footage_pane.h"

#include "ui/footage/footage_view.h"
#include "ui/footage/scrub_bar.h"
#include "ui/footage/transport_bar.h"
#include "ui/jobs/frame_fetcher.h"

#include <QVBoxLayout>

#include <algorithm>
#include <spdlog/spdlog.h>

namespace twinlamp::ui {

FootagePane::FootagePane(QWidget* parent)
    : QWidget(parent)
    , m_fetcher(new FrameFetcher(this))
    , m_playhead(new Playhead(this))
    , m_view(new FootageView)
    , m_scrub(new ScrubBar)
    , m_transport(new TransportBar)
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
    column->addWidget(m_view, 1);
    column->addWidget(m_scrub);
    column->addWidget(m_transport);
    wire();
    setClip(nullptr, std::nullopt, RateSource::File);
}

FootagePane::~FootagePane() = default;

void FootagePane::wire()
{
    const auto step = [this](int frames) { m_playhead->step(frames); };
    connect(m_playhead, &Playhead::frameChanged, this, &FootagePane::onFrame);
    connect(m_playhead, &Playhead::playingChanged, m_transport, &TransportBar::setPlaying);
    connect(m_fetcher, &FrameFetcher::frameReady, m_view, &FootageView::setPicture);
    connect(
        m_fetcher, &FrameFetcher::frameReady, this,
        [] { spdlog::info("the first picture is there"); }, Qt::SingleShotConnection);
    connect(m_fetcher, &FrameFetcher::frameFailed, this,
        [this](FrameIndex /*frame*/, const QString& reason) { m_view->setProblem(reason); });
    connect(m_view, &FootageView::stepAsked, this, step);
    connect(m_view, &FootageView::regionMoved, this, &FootagePane::regionMoved);
    connect(m_view, &FootageView::regionPulled, this, &FootagePane::regionPulled);
    connect(m_view, &FootageView::cornersMoved, this, &FootagePane::cornersMoved);
    connect(m_view, &FootageView::cornersPulled, this, &FootagePane::cornersPulled);
    connect(m_scrub, &ScrubBar::stepAsked, this, step);
    connect(m_scrub, &ScrubBar::frameAsked, m_playhead, &Playhead::goTo);
    connect(m_scrub, &ScrubBar::pressPicked, this, &FootagePane::pressPicked);
    connect(m_scrub, &ScrubBar::pressStepAsked, this, &FootagePane::pressStepAsked);
    connect(m_transport, &TransportBar::stepAsked, this, step);
    connect(m_transport, &TransportBar::pressStepAsked, this, &FootagePane::pressStepAsked);
    connect(m_transport, &TransportBar::rateChangeAsked, this, &FootagePane::rateChangeAsked);
    connect(m_transport, &TransportBar::playAsked, this, &FootagePane::togglePlay);
    connect(m_transport, &TransportBar::speedChosen, this, [this] {
        if (m_playhead->isPlaying()) {
            m_playhead->play(m_transport->chosenSpeed());
        }
    });
    connect(m_transport, &TransportBar::placeAsked, this, [this](const PlaceInClip& place) {
        if (place.frame) {
            m_playhead->goTo(*place.frame);
        } else if (place.time) {
            goTo(*place.time);
        }
    });
}

void FootagePane::setClip(const std::shared_ptr<const footage::ClipIndex>& index,
    const std::optional<footage::CaptureClock>& clock, RateSource rateSource)
{
    const bool another = index != m_index;
    m_index = index;
    m_clock = clock;
    const std::int64_t count = index ? index->frameCount() : 0;
    const FrameIndex last {std::max<std::int64_t>(0, count - 1)};
    m_scrub->setClip(count, clock ? toMs(clock->toReal(last)) : 0.0);
    m_transport->setRates(index ? footage::playRateHz(*index) : 0.0,
        clock ? std::optional(clock->captureRate()) : std::nullopt, rateSource);
    m_transport->setEnabled(count > 0);
    if (another) {
        m_view->clear();
        m_fetcher->open(index);
        m_playhead->setFrameCount(count);
    } else {
        updateReadout();
    }
}

void FootagePane::setProblem(const QString& sentence) { m_view->setProblem(sentence); }

void FootagePane::setRegions(const std::optional<RegionSet>& regions)
{
    m_view->setRegions(regions);
}

void FootagePane::setPresses(
    const std::vector<session::EffectivePress>& presses, std::optional<int> inHand)
{
    std::vector<ScrubBar::PressAt> marks;
    m_onsets.clear();
    m_onsetPresses.clear();
    for (const session::EffectivePress& each : presses) {
        const Press& press = each.press;
        if (press.reference && m_clock) {
            const FrameIndex frame = m_clock->frameAt(*press.reference);
            marks.push_back({press.index, frame, press.edge, press.accepted, !press.flags.empty()});
            m_onsets.push_back(frame);
            m_onsetPresses.push_back(press.index);
        }
    }
    m_scrub->setPresses(std::move(marks), inHand);
}

void FootagePane::setScanned(std::optional<double> share) { m_scrub->setScanned(share); }

void FootagePane::setEditable(bool editable) { m_view->setEditable(editable); }

void FootagePane::onFrame(FrameIndex frame)
{
    m_scrub->setFrame(frame);
    m_view->setFrameAsked(frame);
    if (m_index && m_index->frameCount() > 0) {
        m_fetcher->show(frame);
    }
    updateReadout();
}

void FootagePane::updateReadout()
{
    TransportBar::Readout readout;
    readout.frame = m_playhead->frame();
    if (m_index && m_index->frameCount() > 0) {
        readout.frameCount = m_index->frameCount();
        readout.play = m_index->playTime(readout.frame);
        readout.real = m_clock ? std::optional(m_clock->toReal(readout.frame)) : std::nullopt;
    }
    m_transport->setReadout(readout);
}

void FootagePane::goTo(RealTime time)
{
    if (m_clock) {
        m_playhead->goTo(m_clock->frameAt(time));
    }
}

std::optional<int> FootagePane::neighbourPress(bool forward) const
{
    const auto found = ui::neighbourPress(m_onsets, m_playhead->frame(), forward);
    return found ? std::optional(m_onsetPresses[*found]) : std::nullopt;
}

void FootagePane::togglePlay()
{
    if (m_playhead->isPlaying()) {
        m_playhead->rest();
    } else if (!m_mayPlay) {
        Q_EMIT flashWarningAsked();
    } else {
        m_playhead->play(m_transport->chosenSpeed());
    }
}

void FootagePane::allowPlaying() { m_mayPlay = true; }

} // namespace twinlamp::ui

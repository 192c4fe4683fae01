// SPDX-License-Identifier: GPL-3.0-or-later
// What the page shows of the desk and the session; how it is wired is in bench_page.cpp.
#include "ui/edits/clip_filing.h"
#include "ui/footage/footage_pane.h"
#include "ui/footage/footage_view.h"
#include "ui/footage/lamp_closeups.h"
#include "ui/models/setting_figures.h"
#include "ui/pages/bench_page.h"
#include "ui/plots/trace_pane.h"
#include "ui/plots/trace_plot.h"
#include "ui/widgets/answer_strip.h"
#include "ui/widgets/clip_facts_panel.h"
#include "ui/widgets/figures.h"
#include "ui/widgets/press_panel.h"
#include "ui/widgets/press_table.h"
#include "ui/widgets/region_numbers.h"
#include "ui/widgets/session_panel.h"

#include <QStackedWidget>

#include <algorithm>

namespace twinlamp::ui {

namespace {

QString clipName(const session::Clip& clip)
{
    const std::string& path
        = clip.file.relativePath.empty() ? clip.file.absolutePath : clip.file.relativePath;
    return QString::fromStdString(std::filesystem::path(path).filename().string());
}

constexpr int stageNameWidth = 220; ///< the answer beside it needs the room

/// Every frame is read, and the presses are worked out from them: it takes a while without steps.
bool isTiming(const std::optional<ScaledProgress>& progress)
{
    return progress && progress->maximum > 0 && progress->value >= progress->maximum;
}

QSize pictureSize(const BenchDesk& desk)
{
    if (!desk.index()) {
        return {};
    }
    const footage::Orientation& turn = desk.index()->info.orientation;
    return {turn.uprightWidthPx(), turn.uprightHeightPx()};
}

} // namespace

void BenchPage::showFootage()
{
    const bool any = m_desk->clip() != nullptr;
    m_stack->setCurrentIndex(any ? 1 : 0);
    m_table->setVisible(any);
    m_footage->setClip(m_desk->index(), m_desk->clock(), m_desk->rateSource());
    m_footage->setProblem(m_desk->problem());
    const bool editable = any && !m_document.isReadOnly();
    m_footage->setEditable(editable);
    m_press->setEditable(editable);
    m_numbers->setEditable(editable);
    m_traces->plot().setMarksMovable(editable && !m_desk->isMeasuring());
    if (m_desk->clock() && m_desk->index()) {
        const FrameIndex last {m_desk->index()->frameCount() - 1};
        m_traces->plot().setClipLength(toMs(m_desk->clock()->toReal(last)));
    }
    showRegions();
    showPresses();
}

void BenchPage::showRegions()
{
    m_footage->setRegions(m_desk->regions());
    m_numbers->setRegions(m_desk->regions(), pictureSize(*m_desk));
    showCloseups();
}

void BenchPage::showTraces(bool grew)
{
    const auto traces = m_desk->traces();
    if (grew && traces) {
        m_traces->plot().growTraces(traces);
    } else {
        m_traces->plot().setTraces(traces);
        showPressView(m_traces->showsPress());
    }
    m_traces->plot().setFrame(m_footage->playhead().frame());
}

// More of the same light: what is in view stays in view.
void BenchPage::showFilledTraces()
{
    m_traces->plot().setTraces(m_desk->traces());
    m_traces->plot().setFrame(m_footage->playhead().frame());
}

void BenchPage::showPresses()
{
    const auto presses = m_desk->presses();
    m_footage->setPresses(presses, m_desk->press());
    m_traces->plot().setPresses(presses, m_desk->press());
    m_traces->plot().setMarksMovable(!m_document.isReadOnly() && !m_desk->isMeasuring());
    m_table->setRows(tableRows(), tableSpansClips());
    pickInTable(); // new rows come without a row in hand
    m_press->setPress(pressInHand(), m_desk->readout());
    showFacts();
    showCloseups();
    showExplanation();
}

void BenchPage::showFacts()
{
    const session::Clip* clip = m_desk->clip();
    m_facts->setMeasurement(
        clip != nullptr ? clip->measurement.pointer() : nullptr, m_desk->isToBeFilledIn());
}

std::optional<session::EffectivePress> BenchPage::pressInHand() const
{
    if (!m_desk->press()) {
        return std::nullopt;
    }
    for (const session::EffectivePress& press : m_desk->presses()) {
        if (press.press.index == *m_desk->press()) {
            return press;
        }
    }
    return std::nullopt;
}

void BenchPage::showPressInHand()
{
    const auto press = pressInHand();
    m_press->setPress(press, m_desk->readout());
    const auto presses = m_desk->presses();
    m_footage->setPresses(presses, m_desk->press());
    m_traces->plot().setPresses(presses, m_desk->press());
    showCloseups();
    showExplanation();
    pickInTable();
}

void BenchPage::pickInTable()
{
    const bool any = m_desk->clip() != nullptr && m_desk->press();
    m_table->pick(any ? std::optional(session::PressAddress {m_desk->clip()->id, *m_desk->press()})
                      : std::nullopt);
}

void BenchPage::pickPress(session::PressAddress press)
{
    if (m_desk->clip() == nullptr || m_desk->clip()->id != press.clip) {
        m_desk->pickClip(press.clip);
    }
    m_desk->pickPress(press.press);
    goToPress();
}

void BenchPage::goToPress()
{
    const auto press = pressInHand();
    if (!press) {
        return;
    }
    if (press->press.reference) {
        m_footage->goTo(*press->press.reference);
    }
    showPressView(true);
}

void BenchPage::stepPress(bool forward)
{
    if (const auto next = m_footage->neighbourPress(forward)) {
        m_desk->pickPress(*next);
        goToPress();
    }
}

void BenchPage::showPressView(bool press)
{
    m_traces->setShowsPress(press && pressInHand());
    if (m_traces->showsPress()) {
        m_traces->plot().showSpan(spanOfPress(pressInHand()->press));
    } else {
        m_traces->plot().showAll();
    }
}

void BenchPage::showCloseups()
{
    const auto press = pressInHand();
    const auto regions = m_desk->regions();
    std::vector<CloseupRow> rows;
    if (press && regions && m_desk->clock() && m_desk->index()) {
        const QSize picture = pictureSize(*m_desk);
        const auto add = [&](RegionKind kind, const std::optional<RealTime>& time, RectPx region) {
            if (time) {
                rows.push_back(
                    {kind, m_desk->clock()->frameAt(*time), closeupPart(region, picture)});
            }
        };
        add(RegionKind::Reference, press->press.reference, regions->reference);
        add(RegionKind::Goggle, press->press.firstLight, regions->goggle);
    }
    m_closeups->setRows(std::move(rows), m_desk->index() ? m_desk->index()->frameCount() : 0);
}

void BenchPage::showClipNotes()
{
    const MeasureQueue& queue = m_desk->queue();
    const auto progress = m_desk->progress();
    std::map<session::ClipId, QString> notes;
    for (const session::Clip& clip : m_document.session().clips) {
        if (queue.running() == clip.id) {
            notes[clip.id] = isTiming(progress) ? tr("timing")
                : progress && progress->maximum > 0
                ? tr("%1 %").arg(100LL * progress->value / progress->maximum)
                : tr("measuring");
        } else if (queue.holds(clip.id)) {
            notes[clip.id] = tr("waits");
        } else if (queue.fillingIn() == clip.id) {
            const auto& filled = queue.fillProgress();
            notes[clip.id] = filled && filled->maximum > 0 && !isTiming(filled)
                ? tr("filling in, %1 %").arg(100LL * filled->value / filled->maximum)
                : tr("filling in");
        } else if (queue.isToBeFilledIn(clip.id)) {
            notes[clip.id] = tr("to be filled in");
        }
    }
    for (const session::ClipId clip : m_desk->clipsWithoutRate()) {
        notes[clip] = tr("capture rate?");
    }
    m_panel->setClipNotes(std::move(notes));
}

void BenchPage::showWork()
{
    showClipNotes();
    const MeasureQueue& queue = m_desk->queue();
    const auto progress = m_desk->progress();
    QString stage;
    if (const auto running = queue.running()) {
        const session::Clip* clip = session::find(m_document.session(), *running);
        const QString name = fontMetrics().elidedText(
            clip != nullptr ? clipName(*clip) : QString(), Qt::ElideMiddle, stageNameWidth);
        stage
            = (isTiming(progress) ? tr("Timing the presses of %1") : tr("Measuring %1")).arg(name);
        if (queue.waiting() > 0) {
            stage += tr(", %1 more").arg(queue.waiting());
        }
    }
    if (!m_otherWork) {
        m_answer->setWork(stage, isTiming(progress) ? std::nullopt : progress);
    }
    const bool scanning = m_desk->isMeasuring() && progress && progress->maximum > 0;
    m_footage->setScanned(scanning
            ? std::optional(static_cast<double>(progress->value) / progress->maximum)
            : std::nullopt);
    const auto outOfDate = clipsOutOfDate(m_document.session());
    const auto waiting = m_desk->clipsWithoutRate();
    const auto open = static_cast<int>(std::ranges::count_if(outOfDate, [&](session::ClipId id) {
        return !queue.holds(id) && std::ranges::find(waiting, id) == waiting.end();
    }));
    QString offer;
    if (open > 0) {
        offer = countText(open, tr("Measure %1 clip"), tr("Measure %1 clips"));
    } else if (m_desk->restsOnLightMap()) {
        offer = tr("Read moved regions exactly");
    }
    m_answer->setMeasureOffer(m_document.isReadOnly() ? QString() : offer);
}

void BenchPage::showOtherWork(const QString& stage, std::optional<ScaledProgress> progress)
{
    m_otherWork = !stage.isEmpty();
    if (m_otherWork) {
        m_answer->setWork(stage, progress);
    } else {
        showWork();
    }
}

void BenchPage::showAnswer()
{
    const session::Session& session = m_document.session();
    const session::SettingId inHand = m_panel->settingInHand();
    const session::LinkSetting* setting = session::find(session, inHand);
    if (setting == nullptr) {
        m_answer->setSentence(m_document.isOpen() ? tr("No clip yet: drop one on the window.")
                                                  : tr("No session is open."));
        return;
    }
    const auto figures = settingFigures(session);
    const auto found = std::ranges::find(figures, inHand, &SettingFigures::id);
    // A figure of the wrong spot must not catch the eye.
    m_answer->setSentence(answerSentence(*setting, *found),
        found->clipsDoubtful > 0 ? QString() : medianText(found->summary));
}

void BenchPage::onPlacePicked(TreePlace place)
{
    m_tablePlace = place;
    const session::Session& session = m_document.session();
    if (place.kind == TreeKind::Clip) {
        m_desk->pickClip({place.id});
    } else {
        // A setting or run in hand shows all its presses; the clip in hand becomes one of its own.
        const auto clips = place.kind == TreeKind::Run
            ? session::clipsOf(session, session::RunId {place.id})
            : session::clipsOf(session, session::SettingId {place.id});
        const session::Clip* inHand = m_desk->clip();
        if (!clips.empty() && std::ranges::find(clips, inHand) == clips.end()) {
            m_desk->pickClip(clips.front()->id);
        }
    }
    showAnswer();
    showPresses();
}

bool BenchPage::tableSpansClips() const
{
    return m_tablePlace && m_tablePlace->kind != TreeKind::Clip;
}

std::vector<PressRow> BenchPage::tableRows() const
{
    const session::Session& session = m_document.session();
    std::vector<const session::Clip*> clips;
    if (tableSpansClips()) {
        clips = m_tablePlace->kind == TreeKind::Run
            ? session::clipsOf(session, session::RunId {m_tablePlace->id})
            : session::clipsOf(session, session::SettingId {m_tablePlace->id});
    } else if (m_desk->clip() != nullptr) {
        clips.push_back(m_desk->clip());
    }
    std::vector<PressRow> rows;
    for (const session::Clip* clip : clips) {
        const auto presses
            = clip == m_desk->clip() ? m_desk->presses() : session::effectivePresses(*clip);
        for (const session::EffectivePress& press : presses) {
            rows.push_back({{clip->id, press.press.index}, clipName(*clip), press});
        }
    }
    return rows;
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/clip_facts_panel.h"

#include "ui/widgets/figures.h"
#include "ui/widgets/marking.h"

#include <QLabel>
#include <QStringList>
#include <QVBoxLayout>

#include <algorithm>

namespace twinlamp::ui {

namespace {

QString directionText(SweepDirection direction)
{
    switch (direction) {
    case SweepDirection::Down:
        return ClipFactsPanel::tr("downwards");
    case SweepDirection::Up:
        return ClipFactsPanel::tr("upwards");
    case SweepDirection::LeftToRight:
        return ClipFactsPanel::tr("from left to right");
    case SweepDirection::RightToLeft:
        return ClipFactsPanel::tr("from right to left");
    case SweepDirection::AllAtOnce:
        return ClipFactsPanel::tr("all at once");
    }
    return {};
}

/// Words that are marked with the mouse stay marked where nothing new is said.
void say(QLabel* label, const QString& text)
{
    if (label->text() != text) {
        label->setText(text);
    }
}

/// The note of a sparse scan: frames read, frames of the clip, hold in ms.
bool isOfGaps(const Sentence& note) { return note.id.starts_with("sparse-scan"); }

} // namespace

QString gapsText(const session::ClipMeasurement& measurement)
{
    const auto note = std::ranges::find_if(measurement.notes, isOfGaps);
    if (note == measurement.notes.end() || note->values.size() < 3) {
        return {};
    }
    return ClipFactsPanel::tr(
        "Held frames, redraws: not known yet, %1 of %2 frames are read. The others are read while "
        "nothing else is to be done; they would also show a hold shorter than %3 ms.")
        .arg(QString::fromStdString(note->values[0]), QString::fromStdString(note->values[1]),
            QString::fromStdString(note->values[2]));
}

QString factsText(const ClipFacts& facts)
{
    QStringList words;
    words << ClipFactsPanel::tr("%1 x %2 px").arg(facts.widthPx).arg(facts.heightPx);
    words << countText(
        facts.frames, ClipFactsPanel::tr("%1 frame"), ClipFactsPanel::tr("%1 frames"));
    if (facts.exposureMs) {
        const QString exposure = msText(*facts.exposureMs, 2);
        words << (facts.exposureSource == ExposureSource::Given
                ? ClipFactsPanel::tr("exposure %1 (given)").arg(exposure)
                : ClipFactsPanel::tr("exposure %1 (estimated)").arg(exposure));
    } else {
        words << ClipFactsPanel::tr("exposure not known");
    }
    if (facts.lineTimeUs) {
        const QString lineTime = rateText(*facts.lineTimeUs);
        words << (facts.lineTimeSource == LineTimeSource::Estimated
                ? ClipFactsPanel::tr("line time %1 us (estimated)").arg(lineTime)
                : ClipFactsPanel::tr("line time %1 us").arg(lineTime));
    }
    if (facts.lostFrames > 0) {
        words << countText(facts.lostFrames, ClipFactsPanel::tr("%1 frame lost"),
            ClipFactsPanel::tr("%1 frames lost"));
    }
    return words.join(QStringLiteral(", "));
}

QString panelText(const PanelTiming& timing)
{
    QStringList words;
    if (timing.newFrameInterval) {
        const double ms = toMs(*timing.newFrameInterval);
        words << ClipFactsPanel::tr("a new picture every %1 (%2/s)")
                     .arg(msText(ms, decimalsFor(timing.newFrameUncertaintyMs, 1)),
                         numberText(1e3 / ms, 1));
    }
    if (timing.scan) {
        words << (timing.direction
                ? ClipFactsPanel::tr("sweeps %1 in %2")
                      .arg(directionText(*timing.direction), msText(toMs(*timing.scan), 1))
                : ClipFactsPanel::tr("sweeps in %1").arg(msText(toMs(*timing.scan), 1)));
    }
    if (timing.heldShare) {
        words << ClipFactsPanel::tr("%1 % held").arg(numberText(100.0 * *timing.heldShare, 0));
    }
    return words.isEmpty() ? QString()
                           : ClipFactsPanel::tr("Panel: %1.").arg(words.join(QStringLiteral(", ")));
}

ClipFactsPanel::ClipFactsPanel(QWidget* parent)
    : QWidget(parent)
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(4);
    column->addWidget(headingLabel(tr("This clip")));
    m_facts = quietLabel({});
    m_notes = quietLabel({});
    for (QLabel* label : {m_facts, m_notes}) {
        label->setTextInteractionFlags(Qt::TextSelectableByMouse);
        column->addWidget(label);
    }
    setMeasurement(nullptr);
}

void ClipFactsPanel::setMeasurement(
    const std::shared_ptr<const session::ClipMeasurement>& measurement, bool isToBeFilledIn)
{
    if (measurement == nullptr) {
        say(m_facts, tr("Not measured yet."));
        m_notes->hide();
        return;
    }
    say(m_facts, factsText(measurement->clip));
    QStringList notes;
    if (measurement->panelTiming) {
        const QString panel = panelText(*measurement->panelTiming);
        if (!panel.isEmpty()) {
            notes << panel;
        }
    }
    const QString gaps = isToBeFilledIn ? gapsText(*measurement) : QString();
    if (!gaps.isEmpty()) {
        notes << gaps;
    }
    for (const Sentence& note : measurement->notes) {
        // Both speak of the frames that are read later, as if that were the end of it.
        if (!isToBeFilledIn || (!isOfGaps(note) && note.id != "held-not-seen")) {
            notes << QString::fromStdString(english(note));
        }
    }
    say(m_notes, notes.join(QLatin1Char('\n')));
    m_notes->setVisible(!notes.isEmpty());
}

} // namespace twinlamp::ui

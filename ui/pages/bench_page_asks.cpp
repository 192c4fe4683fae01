// SPDX-License-Identifier: GPL-3.0-or-later
// What the page asks the tester, and clips that come in.
#include "ui/edits/clip_filing.h"
#include "ui/footage/footage_pane.h"
#include "ui/pages/bench_page.h"
#include "ui/widgets/ask_bar.h"
#include "ui/widgets/figures.h"
#include "ui/widgets/session_panel.h"

#include <QFileInfo>

#include <algorithm>
#include <array>

namespace twinlamp::ui {

namespace {

/// Rates that cameras and phones film at, common practice.
constexpr std::array<std::int64_t, 4> likelyRates {240, 480, 960, 1000};

const QString rateKey = QStringLiteral("rate");
const QString playKey = QStringLiteral("play");
const QString reasonKey = QStringLiteral("reason");
const QString runsKey = QStringLiteral("runs");

} // namespace

void BenchPage::tell(const QString& key, const QString& text, const QString& why)
{
    m_asks->ask({key, text, why, {}, std::nullopt, true});
}

void BenchPage::addClips(const QStringList& files)
{
    std::vector<std::filesystem::path> clips;
    for (const QString& file : files) {
        if (QFileInfo(file).isFile()) {
            clips.emplace_back(file.toStdString());
        } else {
            tell(QStringLiteral("drop"), tr("%1 is no file.").arg(file),
                tr("Drop the clips themselves, not their folder."));
        }
    }
    if (clips.empty()) {
        return;
    }
    if (clips.size() == 1 && m_desk->findAgain(clips.front())) {
        return;
    }
    if (clips.size() == 1 || m_panel->runInHand()) {
        this->file(clips, true);
        return;
    }
    m_asks->ask({runsKey, tr("Was the link restarted between these %1 clips?").arg(clips.size()),
        tr("The link's clocks keep one unknown offset from one power-up to the next, so a "
           "comparison "
           "counts runs, not presses. Clips of one power-up belong in one run."),
        {{tr("Yes, a run for each"), [this, clips] { this->file(clips, true); }},
            {tr("No, all in one run"), [this, clips] { this->file(clips, false); }}},
        std::nullopt, true});
    m_asks->focusFirst();
}

void BenchPage::file(const std::vector<std::filesystem::path>& clips, bool runEach)
{
    FilingTarget target;
    target.setting = m_panel->settingInHand();
    target.run = m_panel->runInHand();
    target.runEach = runEach;
    auto filing = filingOf(m_document.session(), m_document.path(), clips, target);
    if (!filing) {
        tell(QStringLiteral("session"), QString::fromStdString(filing.error().detail));
        return;
    }
    if (m_document.push(filing->edit) && !filing->clips.empty()) {
        m_panel->pick({TreeKind::Clip, filing->clips.front().value});
    }
}

void BenchPage::askRate()
{
    const session::Clip* inHand = m_desk->clip();
    std::vector<session::ClipId> clips = m_desk->clipsWithoutRate();
    if (clips.empty() && inHand != nullptr) {
        clips = {inHand->id};
    }
    if (clips.empty()) {
        return;
    }
    Question question;
    question.key = rateKey;
    question.text = clips.size() == 1
        ? tr("How many frames a second did the camera film?")
        : tr("How many frames a second did the camera film these %1 clips?").arg(clips.size());
    const double playRate = m_desk->index() ? footage::playRateHz(*m_desk->index()) : 0.0;
    question.why = tr("Every figure rests on this rate. It is the camera's setting, such as "
                      "\"slow motion 240\", not the rate at which the file plays.");
    if (playRate > 0.0) {
        question.why += QLatin1Char(' ')
            + tr("This file plays at %1 frames/s and does not say how it was filmed.")
                  .arg(rateText(playRate));
    }
    const auto give = [this, clips](FrameRate rate) { m_desk->giveCaptureRate(clips, rate); };
    for (const std::int64_t rate : likelyRates) {
        question.answers.push_back({tr("%1 frames/s").arg(rate), [give, rate] {
                                        give({rate, 1});
                                    }});
    }
    const auto own
        = playRate > 0.0 ? parseFrameRate(rateText(playRate).toStdString()) : std::nullopt;
    if (own && std::ranges::find(likelyRates, own->num) == likelyRates.end()) {
        question.answers.push_back({tr("%1 frames/s, as the file plays").arg(rateText(playRate)),
            [give, rate = *own] { give(rate); }});
    }
    question.field = Question::Field {
        tr("another:"), tr("frames/s"), tr("Use this rate"), [give](const QString& text) {
            const auto rate = parseFrameRate(text.trimmed().toStdString());
            if (rate) {
                give(*rate);
            }
            return rate.has_value();
        }};
    m_asks->ask(std::move(question));
}

void BenchPage::askBeforePlaying()
{
    m_asks->ask({playKey, tr("Playing can make the picture flash."),
        tr("Slow playback of switching lamps or of a strobed panel can flash 3 to 30 times a "
           "second, "
           "which can trigger seizures. Stepping frame by frame is the safe way. Playing stops at "
           "the end and never starts over."),
        {{tr("Play"),
             [this] {
                 m_footage->allowPlaying();
                 m_footage->togglePlay();
             }},
            {tr("Step instead"), [] {}}},
        std::nullopt, true});
    m_asks->focusFirst();
}

void BenchPage::toggleAccepted()
{
    const auto press = pressInHand();
    if (press && m_desk->clip() != nullptr) {
        acceptOrSetAside({m_desk->clip()->id, press->press.index}, !press->press.accepted);
    }
}

void BenchPage::acceptOrSetAside(session::PressAddress press, bool accepted)
{
    if (accepted) {
        m_asks->withdraw(reasonKey);
        m_desk->accept(press);
    } else {
        askWhySetAside(press);
    }
}

void BenchPage::askWhySetAside(session::PressAddress press)
{
    Question question;
    question.key = reasonKey;
    question.text = tr("Why is press %1 set aside?").arg(press.press + 1);
    question.why = tr("It is left out of every figure, and the report prints the reason.");
    for (const QString& reason : {tr("hand or cable in the picture"), tr("camera was moved"),
             tr("switch bounced"), tr("lamp not fully lit")}) {
        question.answers.push_back(
            {reason, [this, press, reason] { m_desk->setAside(press, reason); }});
    }
    question.field = Question::Field {
        tr("another:"), tr("reason"), tr("Set aside"), [this, press](const QString& text) {
            const bool given = !text.trimmed().isEmpty();
            if (given) {
                m_desk->setAside(press, text);
            }
            return given;
        }};
    m_asks->ask(std::move(question));
    m_asks->focusFirst();
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
// What the page asks the tester, and clips that come in.
#include "core/session/rig_values.h"
#include "ui/edits/clip_filing.h"
#include "ui/edits/tree_edits.h"
#include "ui/footage/footage_pane.h"
#include "ui/footage/footage_view.h"
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
const QString failedKey = QStringLiteral("failed");
const QString placeKey = QStringLiteral("place");
const QString sameKey = QStringLiteral("same");
const QString otherwiseKey = QStringLiteral("otherwise");
const QString unansweredKey = QStringLiteral("unanswered");

constexpr std::size_t mostFailuresTold = 4;

QString nameOf(const session::Clip& clip)
{
    const std::string& path
        = clip.file.relativePath.empty() ? clip.file.absolutePath : clip.file.relativePath;
    return QString::fromStdString(std::filesystem::path(path).filename().string());
}

/// "narrow, low power, run 2".
QString placeOf(const session::Session& session, const session::Clip& clip)
{
    const session::Run* run = session::find(session, clip.run);
    const session::LinkSetting* setting
        = run != nullptr ? session::find(session, run->setting) : nullptr;
    return setting == nullptr ? QString()
                              : QString::fromStdString(setting->name) % QStringLiteral(", ")
            % QString::fromStdString(run->name);
}

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
    leaveOutFiledOnes(clips);
    if (clips.empty()) {
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
    m_asks->focusOn(runsKey);
}

void BenchPage::leaveOutFiledOnes(std::vector<std::filesystem::path>& clips)
{
    const session::Session& session = m_document.session();
    const session::Clip* lastFound = nullptr;
    std::erase_if(clips, [&](const std::filesystem::path& file) {
        const auto same = std::ranges::find_if(session.clips, [&](const session::Clip& each) {
            std::error_code different;
            const std::filesystem::path filed = m_desk->fileOf(each);
            return !filed.empty() && std::filesystem::equivalent(filed, file, different);
        });
        lastFound = same != session.clips.end() ? &*same : lastFound;
        return same != session.clips.end();
    });
    if (lastFound != nullptr) {
        tell(sameKey,
            tr("%1 is in this session already, under %2.")
                .arg(nameOf(*lastFound), placeOf(session, *lastFound)),
            tr("A clip counts once. To file it elsewhere, drag its row in the session panel."));
        m_panel->pick({TreeKind::Clip, lastFound->id.value});
    }
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
    m_rateMissing = !clips.empty();
    if (clips.empty() && inHand != nullptr) {
        clips = {inHand->id};
    }
    if (clips.empty() || m_document.isReadOnly()) {
        return;
    }
    m_rateAskedFor = clips;
    Question question;
    question.key = rateKey;
    question.text = clips.size() == 1
        ? tr("At how many frames a second was %1 filmed?")
              .arg(nameOf(*session::find(m_document.session(), clips.front())))
        : tr("At how many frames a second were these %1 clips filmed?").arg(clips.size());
    // Only of the clip in hand is it known how it plays.
    const bool isInHand = clips.size() == 1 && inHand != nullptr && inHand->id == clips.front();
    const double playRate
        = isInHand && m_desk->index() ? footage::playRateHz(*m_desk->index()) : 0.0;
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
    question.field = Question::Field {tr("another:"), tr("frames/s"), tr("Use this rate"),
        [give](const QString& text) {
            const auto rate = parseFrameRate(text.trimmed().toStdString());
            if (rate) {
                give(*rate);
            }
            return rate.has_value();
        },
        tr("Frames per second, for example 239.76 or 240000/1001")};
    question.likely = Question::noLikelyAnswer; // a wrong guess spoils every figure
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
        std::nullopt, true, Question::noLikelyAnswer});
    m_asks->focusOn(playKey);
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
    if (m_document.isReadOnly()) {
        return;
    }
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
    question.field = Question::Field {tr("another:"), tr("reason"), tr("Set aside"),
        [this, press](const QString& text) {
            const bool given = !text.trimmed().isEmpty();
            if (given) {
                m_desk->setAside(press, text);
            }
            return given;
        },
        tr("A word or two on what was wrong")};
    question.likely = Question::noLikelyAnswer;
    m_asks->ask(std::move(question));
    m_asks->focusOn(reasonKey);
}

void BenchPage::askToPlaceRegions()
{
    const session::Clip* clip = m_desk->clip();
    if (clip == nullptr || m_document.isReadOnly()) {
        return;
    }
    m_asks->ask({placeKey, tr("The lamps were not found in %1.").arg(nameOf(*clip)),
        tr("Drag both regions onto their lamps; the clip is measured when you let go. If the "
           "lamps never switch in it, or are out of view, film it again."),
        {}, std::nullopt, true});
    m_footage->view().pickRegion(RegionKind::Reference);
}

void BenchPage::tellOfOtherPresses(session::ClipId clip, int before, int after)
{
    const session::Clip* filled = session::find(m_document.session(), clip);
    if (filled == nullptr) {
        return;
    }
    tell(otherwiseKey,
        tr("With every frame read, %1 shows %2 where %3 were found before.")
            .arg(nameOf(*filled), countText(after, tr("%1 switching"), tr("%1 switchings")))
            .arg(before),
        tr("A hold was shorter than the rig states; state a shorter one on the Rig page. The "
           "figures are those of every frame. Corrections stay with their presses."));
}

void BenchPage::askAboutSameFootage(session::ClipId clip, session::ClipId same)
{
    const session::Session& session = m_document.session();
    const session::Clip* first = session::find(session, same);
    const session::Clip* second = session::find(session, clip);
    if (first == nullptr || second == nullptr || m_document.isReadOnly()) {
        return;
    }
    m_asks->ask(
        {sameKey, tr("%1 holds the same footage as %2.").arg(nameOf(*second), nameOf(*first)),
            tr("Its presses count twice: under %1 and under %2.")
                .arg(placeOf(session, *first), placeOf(session, *second)),
            {{tr("Take %1 out").arg(nameOf(*second)),
                [this, clip] {
                    m_document.push(removalOfClips(m_document.session(), std::vector {clip}));
                }}},
            std::nullopt, true});
}

void BenchPage::askAboutNoAnswer(session::ClipId clip)
{
    const session::Clip* measured = session::find(m_document.session(), clip);
    if (measured == nullptr || m_document.isReadOnly()) {
        return;
    }
    m_unanswered = clip;
    m_asks->ask({unansweredKey, tr("No press of %1 got an answer.").arg(nameOf(*measured)),
        tr("The lamps may be mistaken for each other, or the goggle region may be off its lamp. "
           "Drag the regions onto their lamps, or swap them."),
        {{tr("Swap the two lamps"), [this, clip] { m_desk->swapLamps(clip); }}}, std::nullopt,
        true});
}

void BenchPage::takeFailure(session::ClipId clip, const QString& name, const QString& sentence)
{
    if (!m_asks->isAsking(failedKey)) {
        m_failures.clear();
    }
    std::erase_if(m_failures, [&](const Failure& each) { return each.clip == clip; });
    m_failures.push_back({clip, name, sentence});
    showFailures();
}

void BenchPage::showFailures()
{
    const session::Session& session = m_document.session();
    std::erase_if(m_failures, [&](const Failure& each) {
        const session::Clip* clip = session::find(session, each.clip);
        return clip == nullptr || (clip->measurement && !session::isOutOfDate(session, *clip));
    });
    if (m_failures.empty()) {
        m_asks->withdraw(failedKey);
        return;
    }
    QStringList why;
    std::vector<session::ClipId> unread;
    for (const Failure& each : m_failures) {
        if (static_cast<std::size_t>(why.size()) < mostFailuresTold) {
            why << each.sentence;
        }
        if (!session::find(session, each.clip)->measurement) {
            unread.push_back(each.clip);
        }
    }
    if (m_failures.size() > mostFailuresTold) {
        why << tr("And %1 more.").arg(m_failures.size() - mostFailuresTold);
    }
    Question question;
    question.key = failedKey;
    question.text = m_failures.size() == 1
        ? tr("%1 could not be measured.").arg(m_failures.front().name)
        : tr("%1 clips could not be measured.").arg(m_failures.size());
    question.why = why.join(QLatin1Char('\n'));
    question.likely = Question::noLikelyAnswer;
    if (!unread.empty() && !m_document.isReadOnly()) {
        question.answers.push_back({unread.size() == 1 ? tr("Take it out of the session")
                                                       : tr("Take them out of the session"),
            [this, unread] { m_document.push(removalOfClips(m_document.session(), unread)); }});
    }
    m_asks->ask(std::move(question));
}

void BenchPage::withdrawWhatIsDone()
{
    if (m_asks->isAsking(failedKey)) {
        const std::size_t before = m_failures.size();
        std::erase_if(m_failures, [&](const Failure& each) {
            return session::find(m_document.session(), each.clip) == nullptr;
        });
        if (m_failures.size() != before) {
            showFailures();
        }
    }
    if (!m_desk->lampsNotFound()) {
        m_asks->withdraw(placeKey);
    }
    const session::Clip* unanswered = session::find(m_document.session(), m_unanswered);
    if (unanswered == nullptr || !unanswered->measurement
        || session::isOutOfDate(m_document.session(), *unanswered)) {
        m_asks->withdraw(unansweredKey);
    }
    std::erase_if(m_rateAskedFor,
        [&](session::ClipId clip) { return session::find(m_document.session(), clip) == nullptr; });
    if (m_rateAskedFor.empty() || (m_rateMissing && m_desk->clipsWithoutRate().empty())) {
        m_asks->withdraw(rateKey);
    }
}

void BenchPage::withdrawAll()
{
    m_failures.clear();
    for (const QString& key : {rateKey, playKey, reasonKey, runsKey, failedKey, placeKey, sameKey,
             unansweredKey, otherwiseKey}) {
        m_asks->withdraw(key);
    }
}

} // namespace twinlamp::ui

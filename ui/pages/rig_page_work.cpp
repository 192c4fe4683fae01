// SPDX-License-Identifier: GPL-3.0-or-later
// What the Rig page shows and does; how it is built is in rig_page.cpp.
#include "core/report/check_report.h"
#include "core/session/dates.h"
#include "core/session/edit_chain.h"
#include "core/session/rig_values.h"
#include "ui/pages/rig_page.h"
#include "ui/widgets/ask_bar.h"
#include "ui/widgets/check_card.h"
#include "ui/widgets/figures.h"
#include "ui/widgets/marking.h"

#include <QFileInfo>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QProgressBar>
#include <QPushButton>
#include <QScopedValueRollback>
#include <QVBoxLayout>

#include <algorithm>

namespace twinlamp::ui {

namespace {

const QString resultKey = QStringLiteral("check-result");

QString nameOf(CheckKind kind)
{
    return kind == CheckKind::Zero ? RigPage::tr("zero check") : RigPage::tr("time-base check");
}

std::string freeRigName(const session::Session& session)
{
    for (std::size_t number = session.rigs.size() + 1;; ++number) {
        std::string name = "rig " + std::to_string(number);
        if (session::findRig(session, name) == nullptr) {
            return name;
        }
    }
}

} // namespace

const session::Rig* RigPage::inHand() const { return session::find(m_document.session(), m_rig); }

bool RigPage::isWritable() const { return m_document.isOpen() && !m_document.isReadOnly(); }

void RigPage::onSessionChanged()
{
    const auto& rigs = m_document.session().rigs;
    if (inHand() == nullptr) {
        m_rig = rigs.empty() ? session::RigId {} : rigs.front().id;
    }
    showRigs();
    showRig();
}

void RigPage::pickRig(session::RigId rig)
{
    m_rig = rig;
    showRigs();
    showRig();
}

void RigPage::showRigs()
{
    const QScopedValueRollback showing(m_showing, true);
    const auto& rigs = m_document.session().rigs;
    while (m_list->count() > static_cast<int>(rigs.size())) {
        delete m_list->takeItem(m_list->count() - 1);
    }
    while (m_list->count() < static_cast<int>(rigs.size())) {
        m_list->addItem(new QListWidgetItem);
    }
    for (std::size_t i = 0; i < rigs.size(); ++i) {
        QListWidgetItem* item = m_list->item(static_cast<int>(i));
        item->setText(QString::fromStdString(rigs[i].name));
        item->setData(Qt::UserRole, QVariant::fromValue<qlonglong>(rigs[i].id.value));
        Qt::ItemFlags flags = Qt::ItemIsEnabled | Qt::ItemIsSelectable;
        item->setFlags(isWritable() ? flags | Qt::ItemIsEditable : flags);
        if (rigs[i].id == m_rig) {
            m_list->setCurrentItem(item);
        }
    }
}

void RigPage::showRig()
{
    const QScopedValueRollback showing(m_showing, true);
    const session::Rig* rig = inHand();
    m_nothing->setVisible(rig == nullptr);
    m_details->setVisible(rig != nullptr);
    if (rig != nullptr) {
        for (const Field& field : m_fields) {
            if (field.edit->hasFocus() && field.edit->isModified()) {
                continue; // somebody types while a measurement comes in
            }
            const QString text = field.show(*rig);
            if (field.edit->text() != text) {
                field.edit->setText(text);
            }
            markWrong(field.edit, false);
        }
        showChecks();
        showClips();
    }
    showSentence();
    enableAll();
}

void RigPage::showChecks()
{
    while (QLayoutItem* item = m_checks->takeAt(0)) {
        item->widget()->deleteLater();
        delete item;
    }
    const session::Session& session = m_document.session();
    std::vector<const session::RigCheck*> checks = session::checksOf(session, m_rig);
    std::ranges::stable_sort(
        checks, [](const auto* a, const auto* b) { return a->date > b->date; });
    for (const session::RigCheck* check : checks) {
        const bool applied = session::newestCheck(session, m_rig, check->result.kind()) == check;
        auto* card = new CheckCard(*check, applied, isWritable());
        connect(card, &CheckCard::removeAsked, this, [this, id = check->id] {
            m_document.push(session::removeRigCheck(m_document.session(), id));
        });
        m_checks->addWidget(card);
    }
    m_noChecks->setVisible(checks.empty());
}

void RigPage::showClips()
{
    const auto& clips = m_document.session().clips;
    const auto ofRig = std::ranges::count(clips, m_rig, &session::Clip::rig);
    const auto all = static_cast<qlonglong>(clips.size());
    m_clips->setText(all == 0 ? tr("The session holds no clip yet.")
                              : tr("Of this rig: %1 of the session's %2.")
                                    .arg(ofRig)
                                    .arg(countText(all, tr("%1 clip"), tr("%1 clips"))));
    m_assignAll->setText(all == 1 ? tr("Take it")
            : all == 0            ? tr("Take them all")
                                  : tr("Take all %1").arg(all));
    m_assignAll->setEnabled(isWritable() && ofRig < static_cast<std::ptrdiff_t>(clips.size()));
    m_assignNone->setEnabled(isWritable() && ofRig > 0);
}

void RigPage::showSentence()
{
    const session::Rig* rig = inHand();
    if (rig == nullptr) {
        m_sentence->setText(m_document.isOpen()
                ? tr("No rig yet: latencies are measured without a zero or a time-base check, and "
                     "say so.")
                : tr("No session is open: open one, or drop clips on the Bench page."));
        return;
    }
    const session::Session& session = m_document.session();
    const auto* zero = session::newestCheck(session, m_rig, CheckKind::Zero);
    const auto* timeBase = session::newestCheck(session, m_rig, CheckKind::TimeBase);
    QStringList parts;
    if (zero != nullptr) {
        const auto& f = std::get<ZeroFigures>(zero->result.figures);
        parts << tr("%1 is subtracted from their latencies")
                     .arg(latencyText(
                         latencyFromMs(f.differenceMs), latencyFromMs(f.uncertaintyMs)));
    }
    if (timeBase != nullptr) {
        const auto& f = std::get<TimeBaseFigures>(timeBase->result.figures);
        parts << tr("their time runs at %1 frames/s")
                     .arg(numberText(f.captureRateHz, decimalsFor(f.uncertaintyHz, 4)));
    }
    const QString missing = zero == nullptr && timeBase == nullptr
        ? tr("No check yet: the clips of %1 are measured as the camera labels itself, and say so.")
        : zero == nullptr     ? tr("A zero check is missing.")
        : timeBase == nullptr ? tr("A time-base check is missing.")
                              : QString();
    const QString name = QString::fromStdString(rig->name);
    QString text;
    if (!parts.isEmpty()) {
        text = tr("Clips of %1: ").arg(name) % parts.join(QStringLiteral("; "))
            % QStringLiteral(". ");
    }
    m_sentence->setText(
        text % (missing.contains(QLatin1String("%1")) ? missing.arg(name) : missing));
}

void RigPage::enableAll()
{
    const bool rig = isWritable() && inHand() != nullptr;
    m_add->setEnabled(isWritable());
    m_remove->setEnabled(rig);
    for (const Field& field : m_fields) {
        field.edit->setReadOnly(!rig);
    }
    m_zero->setEnabled(rig && !isChecking());
    m_timeBase->setEnabled(rig && !isChecking());
}

void RigPage::showWork(std::optional<ScaledProgress> progress)
{
    m_progress->setRange(0, progress ? progress->maximum : 0);
    m_progress->setValue(progress ? progress->value : 0);
}

void RigPage::addRig()
{
    session::Rig rig;
    rig.id = session::newId<session::RigId>();
    rig.name = freeRigName(m_document.session());
    const session::RigId before = m_rig;
    m_rig = rig.id;
    if (!m_document.push(session::addRig(m_document.session(), rig))) {
        m_rig = before;
        return;
    }
    if (QListWidgetItem* item = m_list->currentItem()) {
        m_list->editItem(item);
    }
}

void RigPage::removeRig() { m_document.push(session::removeRig(m_document.session(), m_rig)); }

void RigPage::rename(const QString& name)
{
    const session::Rig* rig = inHand();
    if (rig == nullptr) {
        return;
    }
    session::Rig after = *rig;
    after.name = name.trimmed().toStdString();
    changeRig(after);
    showRigs(); // puts a refused name back
}

void RigPage::changeRig(const session::Rig& after)
{
    m_document.push(session::changeRig(m_document.session(), after));
}

void RigPage::assign(bool all)
{
    const session::Session& session = m_document.session();
    std::vector<session::ClipId> clips;
    for (const session::Clip& clip : session.clips) {
        if (all || clip.rig == m_rig) {
            clips.push_back(clip.id);
        }
    }
    m_document.push(session::assignRig(session, clips, all ? m_rig : session::RigId {}));
}

std::optional<measure::LampPeriod> RigPage::period()
{
    const std::optional<double> ms = numberIn(m_period->text());
    const bool noWidth = m_periodWidth->text().trimmed().isEmpty();
    const std::optional<double> width = noWidth ? 0.0 : numberIn(m_periodWidth->text());
    const bool periodFits = ms && *ms > 0.0;
    const bool widthFits = width && *width >= 0.0;
    markWrong(static_cast<QWidget*>(m_period), !periodFits);
    markWrong(static_cast<QWidget*>(m_periodWidth), !widthFits);
    return periodFits && widthFits ? std::optional(measure::LampPeriod {*ms, *width})
                                   : std::nullopt;
}

void RigPage::takeFile(const QString& file)
{
    if (!isWritable() || inHand() == nullptr) {
        return;
    }
    const std::filesystem::path clip = file.toStdString();
    m_asks->ask({resultKey, tr("What does %1 hold?").arg(QFileInfo(file).fileName()),
        tr("The check is made for %1.").arg(QString::fromStdString(inHand()->name)),
        {{tr("A zero check"), [this, clip] { check(CheckKind::Zero, clip); }},
            {tr("A time-base check"), [this, clip] { check(CheckKind::TimeBase, clip); }}},
        std::nullopt, true, Question::noLikelyAnswer});
    m_asks->focusOn(resultKey);
}

void RigPage::check(CheckKind kind, const std::filesystem::path& clip)
{
    const auto lampPeriod = kind == CheckKind::TimeBase ? period() : measure::LampPeriod {};
    if (!isWritable() || inHand() == nullptr || !lampPeriod) {
        return;
    }
    const measure::MeasureOptions options
        = session::withRigForCheck(m_document.session(), m_rig, kind, {});
    m_asks->withdraw(resultKey);
    m_stage->setText(
        tr("%1 of %2").arg(nameOf(kind), QString::fromStdString(clip.filename().string())));
    m_runner.start<measure::CheckedClip>(
        [kind, clip, options, lampPeriod](const JobControl& control) {
            return kind == CheckKind::Zero
                ? measure::zeroCheck(clip, options, control)
                : measure::timeBaseCheck(clip, options, *lampPeriod, control);
        },
        [this, kind, rig = m_rig](JobResult<measure::CheckedClip>&& outcome) {
            onChecked(kind, rig, std::move(outcome));
        });
}

void RigPage::stop() { m_runner.stop(); }

void RigPage::onChecked(
    CheckKind kind, session::RigId rig, JobResult<measure::CheckedClip>&& outcome)
{
    if (outcome.hasValue()) {
        offer(rig, outcome.value().result);
    } else if (outcome.isError()) {
        const Error& error = outcome.error();
        const QString why = error.why == Cause::NeedsCaptureRate
            ? tr("The capture rate is not in the file: type it for the rig, then check again.")
            : QString::fromStdString(error.detail);
        m_asks->ask({resultKey, tr("No %1 could be made.").arg(nameOf(kind)), why, {}, std::nullopt,
            true, Question::noLikelyAnswer});
    }
    Q_EMIT checked(outcome.hasValue());
}

void RigPage::offer(session::RigId rig, const CheckResult& result)
{
    const session::Rig* found = session::find(m_document.session(), rig);
    if (found == nullptr) {
        return;
    }
    const QString name = QString::fromStdString(found->name);
    m_asks->ask({resultKey,
        tr("%1 of %2: %3")
            .arg(nameOf(result.kind()), QString::fromStdString(result.file), verdictText(result)),
        sentencesOf(result),
        {{tr("File it in %1").arg(name), [this, rig, result] { file(rig, result); }},
            {tr("Leave it"), [] {}}},
        std::nullopt, true, report::verdictOf(result) == report::CheckVerdict::Mend ? 1 : 0});
    m_asks->focusOn(resultKey);
}

void RigPage::file(session::RigId rig, const CheckResult& result)
{
    session::RigCheck check;
    check.id = session::newId<session::RigCheckId>();
    check.rig = rig;
    check.date = session::today();
    check.result = result;
    m_document.push(session::addRigCheck(m_document.session(), std::move(check)));
}

} // namespace twinlamp::ui

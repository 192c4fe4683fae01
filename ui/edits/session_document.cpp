// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/edits/session_document.h"

#include <spdlog/spdlog.h>

namespace twinlamp::ui {

namespace {

tl::unexpected<Error> noneOpen()
{
    return fail(Stage::Session, Cause::NotFound, "No session is open.");
}

} // namespace

SessionDocument::SessionDocument(QObject* parent)
    : QObject(parent)
{
    constexpr int lookEveryMs = 1000;
    m_following.setInterval(lookEveryMs);
    connect(&m_following, &QTimer::timeout, this, &SessionDocument::follow);
}

SessionDocument::~SessionDocument() = default;

void SessionDocument::take(session::store::SessionFile file)
{
    m_history.clear();
    m_file.emplace(std::move(file));
    if (m_file->isReadOnly()) {
        m_following.start();
    } else {
        m_following.stop();
    }
    Q_EMIT replaced();
    Q_EMIT changed();
}

void SessionDocument::close()
{
    m_history.clear();
    m_following.stop();
    m_file.reset();
    Q_EMIT replaced();
    Q_EMIT changed();
}

// Nobody asked for this look: what fails is tried again, and goes into the log only.
void SessionDocument::follow()
{
    const auto changedThere = m_file->refresh();
    if (!changedThere) {
        spdlog::debug("following {}: {}", m_file->path().string(), changedThere.error().detail);
    } else if (*changedThere) {
        Q_EMIT changed();
    }
}

bool SessionDocument::isReadOnly() const { return m_file && m_file->isReadOnly(); }

std::filesystem::path SessionDocument::path() const
{
    return m_file ? m_file->path() : std::filesystem::path();
}

const session::Session& SessionDocument::session() const
{
    static const session::Session none;
    return m_file ? m_file->session() : none;
}

bool SessionDocument::push(Result<session::Edit> edit, Joining joining)
{
    if (!edit) {
        Q_EMIT failed(QString::fromStdString(edit.error().detail));
        return false;
    }
    if (edit->isEmpty()) {
        return true;
    }
    auto* command = new SessionCommand(*this, std::move(*edit), joining);
    // A command that fails while pushed turns obsolete and is deleted by the stack.
    const session::Session before = session();
    m_history.push(command);
    return before != session();
}

bool SessionDocument::fileMeasurement(
    session::ClipId clip, ClipResult result, const measure::MeasureOptions& options)
{
    if (!m_file) {
        return false;
    }
    auto kept = m_file->keep(std::move(result), options);
    if (!kept) {
        Q_EMIT failed(QString::fromStdString(kept.error().detail));
        return false;
    }
    const auto edit = session::setMeasurement(session(), clip, std::move(*kept));
    // A step that was taken back and could come again was made for the clip as it is now: a new
    // step ends it.
    if (!edit || lastStepOf(clip, m_history.index(), m_history.count()) != nullptr) {
        return push(edit);
    }
    SessionCommand* cause = lastStepOf(clip, 0, m_history.index());
    if (!applyNow(*edit)) {
        return false;
    }
    if (cause != nullptr) {
        cause->absorb(*edit);
    }
    return true;
}

bool SessionDocument::fillIn(
    session::ClipId clip, ClipResult result, const measure::MeasureOptions& options)
{
    const session::Clip* filled = session::find(session(), clip);
    if (!m_file || filled == nullptr) {
        return false;
    }
    const auto withGaps = filled->measurement;
    const auto full = m_file->keep(std::move(result), options);
    if (!full) {
        Q_EMIT failed(QString::fromStdString(full.error().detail));
        return false;
    }
    const auto edit = session::fillInMeasurement(session(), clip, *full);
    if (!edit) {
        Q_EMIT failed(QString::fromStdString(edit.error().detail));
        return false;
    }
    const Result<void> applied = m_file->apply(*edit);
    for (int step = 0; applied && step < m_history.count(); ++step) {
        stepAt(step)->fillIn(clip, withGaps, *full);
    }
    return told(applied);
}

// The history holds commands of this document only, and hands them out as const.
SessionCommand* SessionDocument::stepAt(int step)
{
    return const_cast<SessionCommand*>(static_cast<const SessionCommand*>(m_history.command(step)));
}

SessionCommand* SessionDocument::lastStepOf(session::ClipId clip, int first, int last)
{
    for (int step = last - 1; step >= first; --step) {
        SessionCommand* command = stepAt(step);
        if (touches(command->edit(), clip)) {
            return command;
        }
    }
    return nullptr;
}

std::shared_ptr<const ClipTraces> SessionDocument::traces(const session::Clip& clip) const
{
    if (!m_file || !clip.measurement) {
        return nullptr;
    }
    auto traces = m_file->traces(clip.measurement->traces);
    if (!traces) {
        spdlog::warn("{}", traces.error().detail);
        return nullptr;
    }
    return *traces;
}

Result<void> SessionDocument::copyTo(
    const std::filesystem::path& target, const session::store::CopyOptions& options) const
{
    return m_file ? m_file->copyTo(target, options) : noneOpen();
}

Result<session::store::MergeReport> SessionDocument::bringIn(
    const session::store::SessionFile& other, session::Merge merge)
{
    if (!m_file) {
        return noneOpen();
    }
    auto report = session::store::finishMerge(*m_file, other, std::move(merge));
    if (report && report->changed) {
        if (!report->edit.isEmpty()) {
            m_history.push(new SessionCommand(*this, report->edit, Joining::No, Applied::Already));
        }
        Q_EMIT changed();
    }
    return report;
}

Result<std::vector<session::HistoryEntry>> SessionDocument::changesSoFar() const
{
    return m_file ? m_file->history() : Result<std::vector<session::HistoryEntry>>(noneOpen());
}

bool SessionDocument::applyNow(const session::Edit& edit)
{
    return m_file && told(m_file->apply(edit));
}

bool SessionDocument::revertNow(const session::Edit& edit)
{
    return m_file && told(m_file->revert(edit));
}

bool SessionDocument::told(const Result<void>& outcome)
{
    if (!outcome) {
        Q_EMIT failed(QString::fromStdString(outcome.error().detail));
        return false;
    }
    Q_EMIT changed();
    return true;
}

} // namespace twinlamp::ui

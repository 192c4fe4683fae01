// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/edits/session_transfer.h"

#include "core/footage/frame_index.h"
#include "core/session/clip_files.h"
#include "core/session/entry_fields.h"
#include "core/session/store/merge_file.h"

#include <algorithm>
#include <memory>
#include <utility>

namespace twinlamp::ui {

namespace {

/// Another session and what it would bring in. Shared, because answers of jobs are copied about.
struct ReadMerge
{
    session::store::SessionFile other;
    session::Merge merge;
};

QString sentenceOf(const Error& error) { return QString::fromStdString(error.detail); }

JobResult<std::shared_ptr<ReadMerge>> readMerge(
    const session::Session& here, const session::MergeOptions& options, const std::stop_token& stop)
{
    auto other = session::store::SessionFile::open(
        options.thereFile, {session::store::OpenMode::ReadOnly, {}, stop});
    if (!other) {
        return other.error();
    }
    session::Merge merge = session::mergeOf(here, other->session(), options);
    if (stop.stop_requested()) {
        return Cancelled {};
    }
    return std::make_shared<ReadMerge>(ReadMerge {std::move(*other), std::move(merge)});
}

JobResult<session::Relinking> look(const session::Session& session,
    const std::filesystem::path& sessionFile, const std::filesystem::path& folder,
    const JobControl& control)
{
    const auto hasHash = [&control](const std::filesystem::path& clip, const std::string& sha256) {
        const auto hash = footage::sha256OfFile(clip, JobControl {control.stop, {}});
        return hash.hasValue() && hash.value() == sha256;
    };
    return session::relinked(session, sessionFile, folder, hasHash, control);
}

int missingIn(const session::Session& session, const std::filesystem::path& file)
{
    return static_cast<int>(std::ranges::count_if(session.clips, [&](const session::Clip& clip) {
        return session::clipFileCandidates(clip.file, file).empty();
    }));
}

} // namespace

SessionTransfer::SessionTransfer(SessionDocument& document, QThreadPool& pool, QObject* parent)
    : QObject(parent)
    , m_document(document)
    , m_runner(pool)
    , m_counter(pool)
{
    connect(&m_runner, &JobRunner::runningChanged, this, &SessionTransfer::runningChanged);
    // What was read belongs to the session that was open.
    connect(&m_document, &SessionDocument::replaced, this, [this] {
        m_runner.drop();
        m_counter.drop();
    });
}

SessionTransfer::~SessionTransfer() = default;

void SessionTransfer::stop() { m_runner.stop(); }

void SessionTransfer::merge(const std::filesystem::path& other, session::Prefer prefer)
{
    if (other == m_document.path()) {
        Q_EMIT failed(tr("%1 is the session that is open; choose another one.")
                          .arg(QString::fromStdString(other.filename().string())));
        return;
    }
    m_runner.start<std::shared_ptr<ReadMerge>>(
        [here = m_document.session(),
            options = session::MergeOptions {prefer, m_document.path(), other}](
            const JobControl& control) { return readMerge(here, options, control.stop); },
        [this](JobResult<std::shared_ptr<ReadMerge>>&& outcome) {
            if (outcome.isError()) {
                Q_EMIT failed(sentenceOf(outcome.error()));
            } else if (outcome.hasValue()) {
                finishMerge(outcome.value()->other, std::move(outcome.value()->merge));
            }
        });
}

void SessionTransfer::finishMerge(const session::store::SessionFile& other, session::Merge merge)
{
    const auto report = m_document.bringIn(other, std::move(merge));
    if (!report) {
        Q_EMIT failed(sentenceOf(report.error()));
        return;
    }
    MergeOutcome outcome {other.path(), {}, {}};
    if (!report->edit.isEmpty()) {
        outcome.step = m_document.history()->index();
    }
    for (const Sentence& note : report->notes) {
        outcome.notes << QString::fromStdString(english(note));
    }
    for (const session::MergeConflict& conflict : report->conflicts) {
        outcome.conflicts << QString::fromStdString(english(conflict.sentence));
    }
    Q_EMIT merged(outcome);
}

void SessionTransfer::relink(const std::filesystem::path& folder)
{
    m_runner.start<session::Relinking>(
        [session = m_document.session(), file = m_document.path(), folder](
            const JobControl& control) { return look(session, file, folder, control); },
        [this](JobResult<session::Relinking>&& outcome) {
            if (outcome.isError()) {
                Q_EMIT failed(sentenceOf(outcome.error()));
            } else if (outcome.hasValue()) {
                finishRelink(outcome.value());
            }
        });
}

void SessionTransfer::finishRelink(const session::Relinking& relinking)
{
    RelinkOutcome outcome {relinking.inPlace, static_cast<int>(relinking.found.size()), {}};
    for (const session::ClipId id : relinking.missing) {
        if (const session::Clip* clip = session::find(m_document.session(), id)) {
            outcome.missing << QString::fromStdString(session::fileNameOf(*clip));
        }
    }
    // A session that changed meanwhile refuses the step, and says so.
    if (relinking.edit.isEmpty() || m_document.push(relinking.edit)) {
        Q_EMIT relinked(outcome);
    }
}

void SessionTransfer::countMissing()
{
    m_counter.start<int>(
        [session = m_document.session(), file = m_document.path()](
            const JobControl&) -> JobResult<int> { return missingIn(session, file); },
        [this](JobResult<int>&& outcome) {
            if (outcome.hasValue()) {
                Q_EMIT missingCounted(outcome.value());
            }
        });
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/merge.h"
#include "core/session/relink.h"
#include "ui/edits/session_document.h"
#include "ui/jobs/job_runner.h"

#include <QStringList>

#include <optional>

namespace twinlamp::ui {

/// What came of bringing another session in, in words.
struct MergeOutcome
{
    std::filesystem::path other;
    QStringList notes; ///< what came in, and what was taken for the same
    QStringList conflicts; ///< values that could not both stand, each with the one that stands
    /// Index of the undo history after the merge: while it stays there, the merge is the last step.
    /// Nothing where the merge changed no entry of this session and is no step.
    std::optional<int> step {};
};

/// What came of looking for moved footage.
struct RelinkOutcome
{
    int inPlace = 0;
    int found = 0;
    QStringList missing; ///< names of clips that were not found
};

/// Other sessions and moved footage that come into the session that is open. Reads on a worker
/// thread; what is found comes in as one step that can be undone.
class SessionTransfer : public QObject
{
    Q_OBJECT

public:
    SessionTransfer(SessionDocument& document, QThreadPool& pool, QObject* parent = nullptr);
    ~SessionTransfer() override;

    /// Brings all of another session into this one; `prefer` says whose values stand where both
    /// cannot.
    void merge(const std::filesystem::path& other, session::Prefer prefer = session::Prefer::Here);
    /// Looks for footage that is not where the session expects it, in a folder and all below it.
    void relink(const std::filesystem::path& folder);
    /// Nothing changes then.
    void stop();

    [[nodiscard]] bool isRunning() const { return m_runner.isRunning(); }

    /// Counts the clips whose footage is neither where it was filed nor beside the session.
    void countMissing();

Q_SIGNALS:
    void merged(const twinlamp::ui::MergeOutcome& outcome);
    void relinked(const twinlamp::ui::RelinkOutcome& outcome);
    void missingCounted(int clips);
    void failed(const QString& sentence);
    void runningChanged(bool running);

private:
    void finishMerge(const session::store::SessionFile& other, session::Merge merge);
    void finishRelink(const session::Relinking& relinking);

    SessionDocument& m_document;
    JobRunner m_runner;
    JobRunner m_counter;
};

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/edit.h"

#include <QDialog>

class QLineEdit;
class QPlainTextEdit;
class QVBoxLayout;

namespace twinlamp::ui {

/// The campaign's name and notes, and the notes of the run and the clip in hand.
class NotesDialog : public QDialog
{
    Q_OBJECT

public:
    /// @param run, clip  in hand; 0 where none is
    NotesDialog(const session::Session& session, session::RunId run, session::ClipId clip,
        QWidget* parent = nullptr);

    /// One step with everything that was typed; empty where nothing was.
    /// @error  an entry that is gone meanwhile
    [[nodiscard]] Result<session::Edit> edit(const session::Session& now) const;

private:
    QPlainTextEdit* addNotes(
        QVBoxLayout* column, const QString& label, const std::string& text, const QString& example);

    session::RunId m_run;
    session::ClipId m_clip;
    QLineEdit* m_name = nullptr;
    QPlainTextEdit* m_campaign = nullptr;
    QPlainTextEdit* m_ofRun = nullptr; ///< null where no run is in hand
    QPlainTextEdit* m_ofClip = nullptr;
};

} // namespace twinlamp::ui

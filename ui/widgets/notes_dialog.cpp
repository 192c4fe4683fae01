// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/notes_dialog.h"

#include "core/session/edit_chain.h"
#include "core/session/entry_fields.h"
#include "ui/widgets/marking.h"

#include <QDialogButtonBox>
#include <QLabel>
#include <QLineEdit>
#include <QPlainTextEdit>
#include <QPushButton>
#include <QVBoxLayout>

namespace twinlamp::ui {

namespace {

constexpr int textWidth = 460;
constexpr int linesSeen = 4;

std::string typed(const QPlainTextEdit& edit) { return edit.toPlainText().trimmed().toStdString(); }

} // namespace

NotesDialog::NotesDialog(
    const session::Session& session, session::RunId run, session::ClipId clip, QWidget* parent)
    : QDialog(parent)
    , m_run(run)
    , m_clip(clip)
{
    setWindowTitle(tr("Campaign and notes"));
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(16, 16, 16, 16);
    column->setSpacing(4);
    auto* label = new QLabel(tr("Name of the campaign"));
    m_name = new QLineEdit(QString::fromStdString(session.name));
    label->setBuddy(m_name);
    column->addWidget(label);
    column->addWidget(m_name);
    m_campaign = addNotes(column, tr("Notes of the campaign"), session.notes,
        tr("Where, when, with whom; what was tested and why"));
    if (const session::Run* found = session::find(session, run)) {
        m_ofRun = addNotes(column, tr("Notes of %1").arg(QString::fromStdString(found->name)),
            found->notes, tr("What happened between these two power-ups"));
    }
    if (const session::Clip* found = session::find(session, clip)) {
        m_ofClip = addNotes(column,
            tr("Notes of %1").arg(QString::fromStdString(session::fileNameOf(*found))),
            found->notes, tr("What is odd about this clip"));
    }
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Cancel);
    auto* keep = buttons->addButton(tr("Keep these notes"), QDialogButtonBox::AcceptRole);
    makePrimary(keep);
    column->addSpacing(12);
    column->addWidget(buttons);
    connect(buttons, &QDialogButtonBox::accepted, this, &QDialog::accept);
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
}

QPlainTextEdit* NotesDialog::addNotes(
    QVBoxLayout* column, const QString& label, const std::string& text, const QString& example)
{
    auto* name = new QLabel(label);
    auto* edit = new QPlainTextEdit(QString::fromStdString(text));
    edit->setPlaceholderText(example);
    edit->setTabChangesFocus(true);
    edit->setAccessibleName(label);
    edit->setMinimumWidth(textWidth);
    edit->setMinimumHeight(linesSeen * edit->fontMetrics().lineSpacing() + 12);
    name->setBuddy(edit);
    column->addSpacing(8);
    column->addWidget(name);
    column->addWidget(edit, 1);
    return edit;
}

Result<session::Edit> NotesDialog::edit(const session::Session& now) const
{
    session::EditChain chain(now);
    session::SessionInfo info = session::infoOf(now);
    info.name = m_name->text().trimmed().toStdString();
    info.notes = typed(*m_campaign);
    const auto add = [&chain](const Result<session::Edit>& step) -> Result<void> {
        return step && step->isEmpty() ? Result<void>() : chain.add(step);
    };
    auto added = add(session::changeInfo(chain.session(), std::move(info)));
    if (added && m_ofRun != nullptr) {
        added = add(session::changeRunNotes(chain.session(), m_run, typed(*m_ofRun)));
    }
    if (added && m_ofClip != nullptr) {
        added = add(session::changeClipNotes(chain.session(), m_clip, typed(*m_ofClip)));
    }
    return added.map([&chain] { return chain.edit(); });
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/copy_dialog.h"

#include "ui/edits/session_places.h"
#include "ui/widgets/marking.h"

#include <QCheckBox>
#include <QDialogButtonBox>
#include <QFileDialog>
#include <QLabel>
#include <QPushButton>
#include <QVBoxLayout>

#include <utility>

namespace twinlamp::ui {

namespace {

constexpr int textWidth = 460;

} // namespace

CopyDialog::CopyDialog(std::filesystem::path session, QWidget* parent)
    : QDialog(parent)
    , m_session(std::move(session))
{
    setWindowTitle(tr("Save a copy"));
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(16, 16, 16, 16);
    column->setSpacing(8);
    auto* why = new QLabel(
        tr("A copy is one file that opens anywhere. The session itself is saved after every "
           "change and needs no copy for that."));
    why->setWordWrap(true);
    why->setFixedWidth(textWidth);
    m_traces = new QCheckBox(tr("Take the &traces along"));
    m_traces->setChecked(true);
    m_persons = new QCheckBox(tr("Take account names and &folders along"));
    m_persons->setChecked(true);
    m_persons->setToolTip(tr("Leave them out of a session that is published"));
    m_who = quietLabel({});
    m_who->setFixedWidth(textWidth);
    m_what = quietLabel({});
    m_what->setFixedWidth(textWidth);
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Cancel);
    auto* choose = buttons->addButton(tr("Choose where…"), QDialogButtonBox::AcceptRole);
    makePrimary(choose);
    column->addWidget(why);
    column->addWidget(m_traces);
    column->addWidget(m_what);
    column->addSpacing(4);
    column->addWidget(m_persons);
    column->addWidget(m_who);
    column->addSpacing(8);
    column->addWidget(buttons);
    connect(m_traces, &QCheckBox::toggled, this, &CopyDialog::explain);
    connect(m_persons, &QCheckBox::toggled, this, &CopyDialog::explain);
    connect(buttons, &QDialogButtonBox::accepted, this, &CopyDialog::chooseFile);
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
    explain();
}

session::store::CopyOptions CopyDialog::options() const
{
    session::store::CopyOptions options;
    options.withTraces = m_traces->isChecked();
    options.withPersons = m_persons->isChecked();
    return options;
}

void CopyDialog::explain()
{
    m_what->setText(m_traces->isChecked()
            ? tr("Light of both lamps and of the panel in every frame, and the fitted models: each "
                 "press can be drawn and explained without its clip.")
            : tr("Small: every figure, doubt and correction is in it, but no press can be drawn "
                 "until its clip is measured again."));
    m_who->setText(m_persons->isChecked()
            ? tr("The list of changes names the account that made each, and clips the folders "
                 "they lie in.")
            : tr("For a session that is published: the list of changes names nobody, and no folder "
                 "outside the session's own is told."));
}

void CopyDialog::chooseFile()
{
    QString file = QFileDialog::getSaveFileName(this, tr("Save a copy"),
        QString::fromStdString(m_session.parent_path().string()),
        tr("Twinlamp sessions (*.twinlamp)"));
    if (file.isEmpty()) {
        return;
    }
    if (!file.endsWith(QLatin1String(sessionSuffix), Qt::CaseInsensitive)) {
        file += QLatin1String(sessionSuffix);
    }
    Q_EMIT copyWanted(file, options());
    accept();
}

} // namespace twinlamp::ui

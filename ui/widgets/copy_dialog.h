// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/store/session_file.h"

#include <QDialog>

#include <filesystem>

class QCheckBox;
class QLabel;

namespace twinlamp::ui {

/// What a copy of the session takes along, and where it goes.
class CopyDialog : public QDialog
{
    Q_OBJECT

public:
    explicit CopyDialog(std::filesystem::path session, QWidget* parent = nullptr);

    [[nodiscard]] session::store::CopyOptions options() const;

Q_SIGNALS:
    void copyWanted(const QString& file, const twinlamp::session::store::CopyOptions& options);

private:
    void chooseFile();
    void explain();

    std::filesystem::path m_session;
    QCheckBox* m_traces = nullptr;
    QLabel* m_what = nullptr;
    QCheckBox* m_persons = nullptr;
    QLabel* m_who = nullptr;
};

} // namespace twinlamp::ui

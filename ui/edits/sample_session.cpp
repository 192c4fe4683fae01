// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/edits/sample_session.h"

#include <QStandardPaths>

namespace twinlamp::ui {

SampleSession::SampleSession(QObject* parent)
    : QObject(parent)
    , m_folder(std::filesystem::path(
          QStandardPaths::writableLocation(QStandardPaths::GenericDataLocation).toStdString())
          / "twinlamp" / "samples")
{
}

std::filesystem::path SampleSession::file() const { return m_folder / "sample.twinlamp"; }

bool SampleSession::isThere() const { return std::filesystem::exists(file()); }

Result<void> SampleSession::make() const { return {}; }

} // namespace twinlamp::ui

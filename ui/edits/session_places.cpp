// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/edits/session_places.h"

#include <QSettings>
#include <QStandardPaths>

#include <system_error>

namespace twinlamp::ui {

namespace {

constexpr QLatin1String lastKey("session/last");

} // namespace

std::filesystem::path sessionFolder()
{
    const QString documents = QStandardPaths::writableLocation(QStandardPaths::DocumentsLocation);
    std::filesystem::path folder = std::filesystem::path(documents.toStdString()) / "Twinlamp";
    std::error_code ignored; // creating the session tells if it did not work
    std::filesystem::create_directories(folder, ignored);
    return folder;
}

std::filesystem::path freeSessionPath(const std::string& stem)
{
    const std::filesystem::path folder = sessionFolder();
    std::filesystem::path path = folder / (stem + sessionSuffix);
    for (int number = 2; std::filesystem::exists(path); ++number) {
        path = folder / (stem + "-" + std::to_string(number) + sessionSuffix);
    }
    return path;
}

std::filesystem::path lastSession() { return QSettings().value(lastKey).toString().toStdString(); }

void rememberSession(const std::filesystem::path& file)
{
    QSettings().setValue(lastKey, QString::fromStdString(file.string()));
}

} // namespace twinlamp::ui

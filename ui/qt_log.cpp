// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/qt_log.h"

#include <QString>

#include <spdlog/spdlog.h>

namespace twinlamp::ui {

void logQtMessage(QtMsgType type, const QMessageLogContext& /*context*/, const QString& text)
{
    const std::string message = text.toStdString();
    switch (type) {
    case QtDebugMsg:
    case QtInfoMsg:
        spdlog::debug("Qt: {}", message);
        break;
    case QtWarningMsg:
        spdlog::warn("Qt: {}", message);
        break;
    case QtCriticalMsg:
    case QtFatalMsg:
        spdlog::error("Qt: {}", message);
        break;
    }
}

} // namespace twinlamp::ui

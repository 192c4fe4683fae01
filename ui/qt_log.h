// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QtGlobal>

class QString;

namespace twinlamp::ui {

/// Qt's own messages go to the program's log (qInstallMessageHandler).
void logQtMessage(QtMsgType type, const QMessageLogContext& context, const QString& text);

} // namespace twinlamp::ui

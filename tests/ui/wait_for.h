// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QCoreApplication>
#include <QElapsedTimer>
#include <QThread>

namespace twinlamp::ui::tests {

/// Lets the event loop run until the condition holds; false where that takes too long.
template<typename Condition> bool waitFor(const Condition& condition, int timeoutMs = 60'000)
{
    QElapsedTimer since;
    since.start();
    while (!condition()) {
        if (since.elapsed() > timeoutMs) {
            return false;
        }
        QCoreApplication::processEvents(QEventLoop::AllEvents, 20);
        QThread::msleep(1);
    }
    return true;
}

} // namespace twinlamp::ui::tests

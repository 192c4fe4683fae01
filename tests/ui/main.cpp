// SPDX-License-Identifier: GPL-3.0-or-later
// main() of the window tests: one application on Qt's offscreen platform, settings and folders of
// its own so that no test sees or touches the user's.
#include "tests/support/log_guard.h"
#include "tests/support/temporary_folder.h"

#include <QApplication>
#include <QStandardPaths>

#include <gtest/gtest.h>

static void initResources() { Q_INIT_RESOURCE(twinlamp); }

int main(int argc, char** argv)
{
    ::testing::InitGoogleTest(&argc, argv);
    twinlamp::tests::installLogGuard();
    const twinlamp::tests::TemporaryFolder home;
    for (const char* variable :
        {"HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "XDG_RUNTIME_DIR"}) {
        qputenv(variable, QByteArray::fromStdString(home.path().string()));
    }
    if (qEnvironmentVariableIsEmpty("QT_QPA_PLATFORM")) {
        qputenv("QT_QPA_PLATFORM", "offscreen");
    }
    QApplication application(argc, argv);
    QApplication::setOrganizationName(QStringLiteral("twinlamp-tests"));
    QApplication::setApplicationName(QStringLiteral("twinlamp-tests"));
    initResources();
    return RUN_ALL_TESTS();
}

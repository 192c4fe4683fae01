// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/window_main.h"

#include "core/base/version.h"
#include "ui/main_window.h"
#include "ui/qt_log.h"
#include "ui/theme/theme.h"

#include <QApplication>
#include <QEvent>
#include <QThreadPool>

#include <spdlog/spdlog.h>

// Out of the namespace, as Qt asks: a static library's resources are not found by themselves.
static void initResources() { Q_INIT_RESOURCE(twinlamp); }

namespace twinlamp::ui {

namespace {

/// Enough for a measurement, an index, a proposal and a picture at once; scans bring their own.
constexpr int jobThreads = 4;

/// Notes in the log when the window was first seen, for tests/bench/start.
class FirstPaint : public QObject
{
public:
    explicit FirstPaint(QWidget& window)
        : QObject(&window)
    {
        window.installEventFilter(this);
    }

    bool eventFilter(QObject* window, QEvent* event) override
    {
        if (event->type() == QEvent::Paint) {
            window->removeEventFilter(this);
            // Behind this event, when all of the window is painted.
            QMetaObject::invokeMethod(
                this, [] { spdlog::info("the window is there"); }, Qt::QueuedConnection);
        }
        return false;
    }
};

} // namespace

int runWindow(int& argc, char** argv, const WindowRequest& request)
{
    qInstallMessageHandler(logQtMessage);
    QGuiApplication::setHighDpiScaleFactorRoundingPolicy(
        Qt::HighDpiScaleFactorRoundingPolicy::PassThrough);
    QApplication application(argc, argv);
    QApplication::setOrganizationName(QStringLiteral("twinlamp"));
    QApplication::setApplicationName(QStringLiteral("twinlamp"));
    QApplication::setApplicationDisplayName(QStringLiteral("Twinlamp"));
    QApplication::setApplicationVersion(QString::fromStdString(std::string(version())));
    QApplication::setDesktopFileName(QStringLiteral("twinlamp"));
    initResources();
    QApplication::setWindowIcon(QIcon(QStringLiteral(":/twinlamp/icons/twinlamp.svg")));
    Theme theme(application);
    // Joined when the application leaves, after every job was asked to stop.
    QThreadPool pool;
    pool.setMaxThreadCount(jobThreads);
    int status = 0;
    {
        MainWindow window(theme, pool, request.sampleList);
        const FirstPaint firstPaint(window);
        window.show();
        window.openAtStart(request.paths);
        status = QApplication::exec();
    }
    pool.waitForDone();
    qInstallMessageHandler(nullptr);
    return status;
}

} // namespace twinlamp::ui

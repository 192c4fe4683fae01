// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/support/temporary_folder.h"
#include "tests/ui/session_helpers.h"
#include "tests/ui/wait_for.h"
#include "ui/edits/session_document.h"
#include "ui/theme/theme.h"
#include "ui/widgets/latency_axis.h"
#include "ui/widgets/session_panel.h"
#include "ui/widgets/session_tree.h"
#include "ui/widgets/setting_delegate.h"

#include <QApplication>
#include <QTest>

#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

/// Share of the picture that has exactly this colour.
double share(const QImage& picture, const QColor& colour)
{
    std::int64_t same = 0;
    for (int y = 0; y < picture.height(); ++y) {
        for (int x = 0; x < picture.width(); ++x) {
            same += picture.pixelColor(x, y).rgb() == colour.rgb() ? 1 : 0;
        }
    }
    return static_cast<double>(same) / (static_cast<double>(picture.width()) * picture.height());
}

} // namespace

TEST(SessionPanel, RowUnderTheKeyboardIsFramedNotFilled)
{
    const twinlamp::tests::TemporaryFolder folder;
    Theme theme(*qApp);
    theme.choose(SchemeChoice::Light);
    SessionDocument document;
    auto file = tests::newSession(folder / "bench.twinlamp");
    tests::addMeasuredClip(file, "narrow", {25.0, 26.0, 24.0, 25.5, 25.2});
    document.take(std::move(file));
    SessionPanel panel(document);
    panel.resize(272, 400);
    panel.show();
    panel.activateWindow();
    ASSERT_TRUE(QTest::qWaitForWindowActive(&panel));
    auto* tree = panel.findChild<SessionTree*>();
    tree->setFocus(Qt::TabFocusReason);
    ASSERT_TRUE(tree->hasFocus());
    EXPECT_LT(share(tree->grab().toImage(), colours()[ColourRole::Goggle]), 0.02);
    qApp->setStyleSheet({});
}

TEST(SessionPanel, AxisStandsUnderTheHistogramsWithAndWithoutAScrollBar)
{
    const twinlamp::tests::TemporaryFolder folder;
    SessionDocument document;
    auto file = tests::newSession(folder / "bench.twinlamp");
    for (const char* name : {"narrow", "wide", "far", "near"}) {
        tests::addMeasuredClip(file, name, {25.0, 26.0, 24.0, 25.5, 25.2});
    }
    SessionPanel panel(document);
    document.take(std::move(file));
    panel.show();
    auto* tree = panel.findChild<SessionTree*>();
    auto* delegate = qobject_cast<SettingDelegate*>(tree->itemDelegate());
    const auto* axis = panel.findChild<LatencyAxis*>();
    for (const int height : {900, 260, 900}) {
        panel.resize(272, height);
        tests::waitFor([] { return false; }, 50);
        ASSERT_TRUE(axis->mapping().has_value());
        // As the delegate draws: from 2 px inside the row to its side gap.
        const QRect row = tree->visualRect(tree->model()->index(0, 0));
        const AxisMapping drawn = delegate->mapping(row.left() + 2, row.right() + 1 - 8);
        const double inPanel = tree->viewport()->mapTo(&panel, QPoint(0, 0)).x();
        EXPECT_NEAR(axis->mapping()->toPx(25.0) + axis->x(), drawn.toPx(25.0) + inPanel, 1.5)
            << height;
    }
}

} // namespace twinlamp::ui

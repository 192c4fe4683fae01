// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/theme/scheme_watcher.h"

#include <QPalette>

#include <gtest/gtest.h>

namespace twinlamp::ui {

TEST(SchemeWatcher, ReadsThePortalsNumbers)
{
    EXPECT_EQ(SchemeWatcher::fromPortal(1), Scheme::Dark);
    EXPECT_EQ(SchemeWatcher::fromPortal(2), Scheme::Light);
    EXPECT_FALSE(SchemeWatcher::fromPortal(0).has_value());
    EXPECT_FALSE(SchemeWatcher::fromPortal(99).has_value());
}

TEST(SchemeWatcher, WithoutAPortalThePaletteDecides)
{
    QPalette light;
    light.setColor(QPalette::Window, Qt::white);
    light.setColor(QPalette::WindowText, Qt::black);
    EXPECT_EQ(SchemeWatcher(light).desktopScheme(), Scheme::Light);
    QPalette dark;
    dark.setColor(QPalette::Window, Qt::black);
    dark.setColor(QPalette::WindowText, Qt::white);
    EXPECT_EQ(SchemeWatcher(dark).desktopScheme(), Scheme::Dark);
}

} // namespace twinlamp::ui

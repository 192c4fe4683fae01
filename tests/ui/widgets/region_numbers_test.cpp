// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/region_numbers.h"

#include <QLineEdit>
#include <QSignalSpy>
#include <QTest>

#include <gtest/gtest.h>

namespace twinlamp::ui {

TEST(TypedRect, TakesTheUsualWaysToPartNumbers)
{
    const RectPx wanted {412, 233, 40, 41};
    for (const char* text : {"412, 233, 40, 41", "412 233 40 41", " 412;233;40;41 ",
             "412,233,40x41", "412 , 233 , 40 , 41"}) {
        EXPECT_EQ(typedRect(QString::fromLatin1(text)), wanted) << text;
    }
    for (const char* text : {"", "412, 233, 40", "412, 233, 40, 41, 5", "412, 233, 40, px"}) {
        EXPECT_FALSE(typedRect(QString::fromLatin1(text)).has_value()) << text;
    }
}

TEST(RegionNumbers, TypedNumbersAreToldAndOnesOutsideThePictureMarked)
{
    RegionNumbers numbers;
    numbers.setRegions(
        RegionSet {{40, 60, 40, 40}, {200, 70, 30, 30}, std::nullopt, RegionSource::Located},
        {320, 180});
    QSignalSpy typed(&numbers, &RegionNumbers::regionTyped);
    auto* edit = numbers.findChildren<QLineEdit*>().front();
    const auto type = [&](const QString& text) {
        edit->clear();
        QTest::keyClicks(edit, text);
        QTest::keyClick(edit, Qt::Key_Return);
    };
    type(QStringLiteral("300, 60, 40, 40"));
    EXPECT_EQ(typed.count(), 0);
    EXPECT_TRUE(edit->property("wrong").toBool());
    type(QStringLiteral("50 60 40 40"));
    ASSERT_EQ(typed.count(), 1);
    EXPECT_EQ(typed.front().at(0).value<RegionKind>(), RegionKind::Reference);
    EXPECT_EQ(typed.front().at(1).value<RectPx>(), (RectPx {50, 60, 40, 40}));
    EXPECT_FALSE(edit->property("wrong").toBool());
}

TEST(RegionNumbers, PanelTakesEightNumbersForFourCorners)
{
    const QuadPx corners {{CornerPx {160, 30}, {290, 44}, {280, 150}, {150, 140}}};
    RegionSet regions {
        {40, 60, 40, 40}, {200, 70, 30, 30}, RectPx {160, 30, 120, 100}, RegionSource::Given};
    RegionNumbers numbers;
    numbers.setRegions(regions, {320, 180});
    QSignalSpy typed(&numbers, &RegionNumbers::cornersTyped);
    auto* edit = numbers.findChildren<QLineEdit*>().back();
    const auto type = [&](const QString& text) {
        edit->clear();
        QTest::keyClicks(edit, text);
        QTest::keyClick(edit, Qt::Key_Return);
    };
    type(QStringLiteral("160 30  290 44  280 190  150 140"));
    EXPECT_EQ(typed.count(), 0) << "outside the picture";
    EXPECT_TRUE(edit->property("wrong").toBool());
    type(QStringLiteral("160 30  290 44  280 150  150 140"));
    ASSERT_EQ(typed.count(), 1);
    EXPECT_EQ(typed.front().front().value<QuadPx>(), corners);
    EXPECT_FALSE(edit->property("wrong").toBool());
    setPanelCorners(regions, corners);
    numbers.setRegions(regions, {320, 180});
    EXPECT_EQ(edit->text(), QStringLiteral("160,30 290,44 280,150 150,140"));
    EXPECT_EQ(typedCorners(edit->text()), corners);
}

TEST(RegionNumbers, LampsTakeNoCorners)
{
    RegionNumbers numbers;
    numbers.setRegions(
        RegionSet {{40, 60, 40, 40}, {200, 70, 30, 30}, std::nullopt, RegionSource::Given},
        {320, 180});
    QSignalSpy typed(&numbers, &RegionNumbers::cornersTyped);
    auto* edit = numbers.findChildren<QLineEdit*>().front();
    edit->clear();
    QTest::keyClicks(edit, QStringLiteral("160 30 290 44 280 150 150 140"));
    QTest::keyClick(edit, Qt::Key_Return);
    EXPECT_EQ(typed.count(), 0);
    EXPECT_TRUE(edit->property("wrong").toBool());
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/picture_transform.h"

#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

PictureTransform transform(QSize picture, QSizeF view)
{
    PictureTransform result;
    result.setView(view);
    result.setPicture(picture);
    return result;
}

} // namespace

TEST(PictureTransform, FitsAndCentresTheWholePicture)
{
    const auto t = transform({1280, 720}, {640, 480});
    EXPECT_DOUBLE_EQ(t.scale(), 0.5);
    EXPECT_EQ(t.toView(QPointF(0, 0)), QPointF(0, 60));
    EXPECT_EQ(t.toView(QPointF(1280, 720)), QPointF(640, 420));
    EXPECT_EQ(t.toView(RectPx {100, 200, 40, 20}), QRectF(50, 160, 20, 10));
}

TEST(PictureTransform, ViewAndPictureAreInverse)
{
    auto t = transform({1280, 720}, {640, 480});
    t.zoomAt({100, 200}, 3.7);
    const QPointF back = t.toPicture(t.toView(QPointF(321.5, 99.25)));
    EXPECT_NEAR(back.x(), 321.5, 1e-9);
    EXPECT_NEAR(back.y(), 99.25, 1e-9);
}

TEST(PictureTransform, ZoomKeepsThePointUnderThePointer)
{
    auto t = transform({1280, 720}, {640, 360});
    const QPointF pointer(200, 150);
    const QPointF before = t.toPicture(pointer);
    t.zoomAt(pointer, 4.0);
    EXPECT_NEAR(t.toPicture(pointer).x(), before.x(), 1e-9);
    EXPECT_NEAR(t.toPicture(pointer).y(), before.y(), 1e-9);
}

TEST(PictureTransform, PanLeavesNoEmptyEdge)
{
    auto t = transform({1280, 720}, {640, 360});
    t.zoomAt({320, 180}, 2.0);
    t.panBy({10'000, -10'000});
    EXPECT_DOUBLE_EQ(t.pictureInView().left(), 0.0);
    EXPECT_DOUBLE_EQ(t.pictureInView().bottom(), 360.0);
}

TEST(PictureTransform, FittedStaysFittedWhenTheViewGrows)
{
    auto t = transform({1280, 720}, {640, 360});
    t.setView({1280, 720});
    EXPECT_TRUE(t.isFitted());
    EXPECT_DOUBLE_EQ(t.scale(), 1.0);
    t.zoomAt({0, 0}, 2.0);
    t.setView({640, 360});
    EXPECT_FALSE(t.isFitted());
    EXPECT_DOUBLE_EQ(t.scale(), 2.0);
}

TEST(PictureTransform, RevealBringsARegionIntoView)
{
    auto t = transform({1280, 720}, {640, 360});
    t.zoomAt({0, 0}, 8.0);
    const RectPx region {1200, 680, 20, 20};
    t.reveal(region);
    EXPECT_TRUE(QRectF(0, 0, 640, 360).contains(t.toView(region)));
}

} // namespace twinlamp::ui

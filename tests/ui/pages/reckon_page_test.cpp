// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/support/temporary_folder.h"
#include "tests/ui/session_helpers.h"
#include "tests/ui/wait_for.h"
#include "ui/pages/reckon_page.h"
#include "ui/plots/latency_chart.h"
#include "ui/widgets/plan_panel.h"
#include "ui/widgets/radio_helper.h"
#include "ui/widgets/what_if_field.h"
#include "ui/widgets/what_if_form.h"

#include <QDoubleSpinBox>
#include <QSettings>
#include <QSlider>
#include <QThreadPool>

#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

using tests::waitFor;

class ReckonPageTest : public ::testing::Test
{
protected:
    ReckonPageTest() { QSettings().clear(); }

    ~ReckonPageTest() override
    {
        m_page.reset();
        m_pool.waitForDone();
    }

    void show()
    {
        m_page = std::make_unique<ReckonPage>(m_document, m_pool);
        QObject::connect(m_page.get(), &ReckonPage::answered, [this] { ++m_answers; });
        m_page->resize(1300, 700);
        m_page->show();
    }

    bool waitForAnswer()
    {
        m_answers = 0;
        return waitFor([this] { return m_answers > 0; });
    }

    twinlamp::tests::TemporaryFolder m_folder;
    QThreadPool m_pool;
    SessionDocument m_document;
    std::unique_ptr<ReckonPage> m_page;
    int m_answers = 0;
};

} // namespace

TEST_F(ReckonPageTest, AnswersWithoutASession)
{
    show();
    EXPECT_EQ(m_page->plans().answer(0), QStringLiteral("59 presses"));
    ASSERT_TRUE(waitForAnswer());
    EXPECT_EQ(m_page->chart().data().curves.size(), 2U);
    EXPECT_TRUE(m_page->chart().data().series.empty());
    EXPECT_FALSE(m_page->chart().grab().isNull());
}

TEST_F(ReckonPageTest, SpreadOfTheSessionIsTakenAndFollowed)
{
    auto file = tests::newSession(m_folder / "plan.twinlamp");
    const auto clip = tests::addMeasuredClip(file, "narrow", {25.0, 26.0, 24.0, 31.0});
    m_document.take(std::move(file));
    show();
    const double before = m_page->plans().questions().sdMs;
    EXPECT_NEAR(before, 3.11, 0.005); // SD of the four, to the two decimals that are shown
    ASSERT_TRUE(m_document.push(
        session::setAsidePress(m_document.session(), {clip, 3}, "lamp was covered")));
    EXPECT_NEAR(m_page->plans().questions().sdMs, 1.0, 0.005);
    EXPECT_LT(m_page->plans().questions().sdMs, before);
}

TEST_F(ReckonPageTest, MeasuredSettingStandsBesideTheModelsAndIsRemembered)
{
    auto file = tests::newSession(m_folder / "beside.twinlamp");
    tests::addMeasuredClip(file, "narrow", {25.0, 26.0, 24.0, 31.0});
    m_document.take(std::move(file));
    show();
    m_page->pickMeasured(m_document.session().settings[0].id);
    ASSERT_TRUE(waitFor([this] { return m_page->chart().data().series.size() == 1; }));
    m_page.reset();
    show();
    ASSERT_TRUE(waitFor([this] { return m_page->chart().data().series.size() == 1; }));
}

TEST_F(ReckonPageTest, ValuesSurviveARestart)
{
    show();
    WhatIfLink link = m_page->form().links()[0];
    link.model.bitRateMbit = 33.0;
    link.model.roundTripMs = 4.5;
    m_page->form().setLink(0, link);
    m_page.reset();
    show();
    EXPECT_EQ(m_page->form().links()[0].model.bitRateMbit, 33.0);
    EXPECT_EQ(m_page->form().links()[0].model.roundTripMs, 4.5);
    EXPECT_EQ(m_page->form().links()[1].model.channelWidthMhz, 40.0);
}

TEST_F(ReckonPageTest, DraggedSliderChangesTheAnswer)
{
    show();
    ASSERT_TRUE(waitForAnswer());
    const double before = m_page->answer()->links[0].figures->bitsPerFrame;
    m_page->form().findChild<WhatIfField*>()->findChild<QSlider*>()->setValue(150);
    ASSERT_TRUE(waitForAnswer());
    EXPECT_GT(m_page->answer()->links[0].figures->bitsPerFrame, before);
}

TEST(WhatIfField, SliderAndNumberAgree)
{
    WhatIfField field({0.5, 200.0, 1, QStringLiteral("Mbit/s"), {}});
    auto* slider = field.findChild<QSlider*>();
    field.setValue(10.0); // half of the way in ratios, sqrt(0.5 x 200)
    EXPECT_EQ(slider->value(), slider->maximum() / 2);
    slider->setValue(slider->maximum());
    EXPECT_EQ(field.value(), 200.0);
    slider->setValue(0);
    EXPECT_EQ(field.value(), 0.5);
}

TEST(RadioHelper, SaysGapAndLossAndTheCaution)
{
    const RadioHelper helper;
    EXPECT_TRUE(helper.answer().contains(QStringLiteral("37 MHz apart")));
    EXPECT_TRUE(helper.answer().contains(QStringLiteral("17 MHz lie between")));
    EXPECT_TRUE(helper.answer().contains(QStringLiteral("P.525")));
}

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/edit.h"
#include "tests/core/session/session_samples.h"
#include "tests/ui/session_helpers.h"
#include "ui/models/setting_figures.h"

#include <gtest/gtest.h>

namespace twinlamp::ui {

TEST(SettingFigures, MedianAndIntervalComeFromTheAcceptedPresses)
{
    const session::samples::TemporaryFolder folder;
    auto file = tests::newSession(folder / "s.twinlamp");
    const auto clip
        = tests::addMeasuredClip(file, "narrow", {21.0, 22.0, 23.0, 24.0, 25.0, 26.0, 90.0});
    ASSERT_TRUE(file.apply(*session::setAsidePress(file.session(), {clip, 6}, "switch bounced")));
    const auto figures = settingFigures(file.session());
    ASSERT_EQ(figures.size(), 1U);
    EXPECT_EQ(figures[0].summary.n, 6);
    EXPECT_EQ(figures[0].summary.setAside, 1);
    EXPECT_DOUBLE_EQ(*figures[0].summary.medianMs, 23.5);
    EXPECT_EQ(figures[0].latencies.size(), 6U);
    // Six values bound their median by the smallest and the largest (coverage 1 - 2 / 2^6).
    EXPECT_EQ(medianIntervalText(figures[0].summary),
        QStringLiteral("21 to 26") + QChar(0x2009) + QStringLiteral("ms"));
    const QString answer = answerSentence(file.session().settings[0], figures[0]);
    EXPECT_TRUE(answer.contains(QStringLiteral("6 presses in 1 run"))) << answer.toStdString();
    EXPECT_TRUE(answer.contains(QStringLiteral("1 set aside"))) << answer.toStdString();
}

TEST(SettingFigures, SettingWithoutClipsSaysSo)
{
    session::Session session;
    session.settings.push_back({session::SettingId {3}, 0, "empty", {}});
    const auto figures = settingFigures(session);
    ASSERT_EQ(figures.size(), 1U);
    EXPECT_EQ(figures[0].histogram.axis.bins, 0U);
    EXPECT_TRUE(medianText(figures[0].summary).isEmpty());
    EXPECT_EQ(answerSentence(session.settings[0], figures[0]),
        QStringLiteral("empty: not measured yet."));
}

TEST(SettingFigures, DoubtfulRegionsAreSaidBeforeTheFigure)
{
    const session::samples::TemporaryFolder folder;
    auto file = tests::newSession(folder / "s.twinlamp");
    tests::addMeasuredClip(file, "wide", {21.0, 22.0, 23.0});
    session::Session session = file.session();
    session::ClipMeasurement doubtful = *session.clips[0].measurement;
    doubtful.notes.push_back({"located-unsure", {"goggle", "0.46"}});
    session.clips[0].measurement = session::SharedValue(doubtful);
    const auto figures = settingFigures(session);
    EXPECT_EQ(figures[0].clipsDoubtful, 1);
    EXPECT_EQ(countNote(figures[0]), QStringLiteral("regions doubtful, check them"));
    EXPECT_TRUE(answerSentence(session.settings[0], figures[0])
                    .startsWith(QStringLiteral(
                        "Regions doubtful in 1 clip: check them first. wide: first light after ")));
}

TEST(ConditionsText, NamesWhatIsKnownOnly)
{
    EXPECT_TRUE(conditionsText({}).isEmpty());
    session::Conditions conditions;
    conditions.bitRateMbit = 18.0;
    conditions.distanceM = 4.0;
    EXPECT_EQ(conditionsText(conditions), QStringLiteral("18 Mbit/s, 4 m"));
}

TEST(SettingFigures, LostPressesAreSaidNotHidden)
{
    session::LinkSetting setting;
    setting.name = "far";
    SettingFigures figures;
    figures.clips = figures.clipsMeasured = 1;
    figures.summary.n = 24;
    figures.summary.noResponse = 46;
    EXPECT_EQ(countNote(figures), QStringLiteral("70 presses, 46 lost"));
    EXPECT_EQ(answerSentence(setting, figures),
        QStringLiteral("far: no median, because 46 of 70 presses got no answer."));
    figures.summary.n = 0;
    EXPECT_EQ(countNote(figures), QStringLiteral("46 presses, 46 lost"));
    figures.summary.noResponse = 0;
    EXPECT_EQ(countNote(figures), QStringLiteral("no press that counts"));
    figures.clipsMeasured = 0;
    EXPECT_EQ(countNote(figures), QStringLiteral("not measured yet"));
}

} // namespace twinlamp::ui

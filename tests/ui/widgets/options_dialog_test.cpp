// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/options_dialog.h"

#include <QComboBox>
#include <QLineEdit>
#include <QSignalSpy>
#include <QTest>

#include <gtest/gtest.h>

namespace twinlamp::ui {
namespace {

using measure::MeasureOptions;
using measure::TransferCurve;

/// What the dialog tells when it is accepted after `change`; nothing where it stays open.
template<typename Change>
std::optional<MeasureOptions> chosen(const MeasureOptions& options, const Change& change)
{
    OptionsDialog dialog(options);
    std::optional<MeasureOptions> told;
    QObject::connect(&dialog, &OptionsDialog::optionsChosen,
        [&](const MeasureOptions& chosenOptions) { told = chosenOptions; });
    change(dialog);
    dialog.accept();
    return told;
}

QComboBox* curveOf(OptionsDialog& dialog)
{
    for (auto* box : dialog.findChildren<QComboBox*>()) {
        if (box->findText(QStringLiteral("HLG")) >= 0) {
            return box;
        }
    }
    return nullptr;
}

TEST(OptionsDialog, TellsTheCurveThatWasChosen)
{
    const auto told = chosen({}, [](OptionsDialog& dialog) {
        QComboBox* curve = curveOf(dialog);
        ASSERT_NE(curve, nullptr);
        curve->setCurrentIndex(curve->findText(QStringLiteral("HLG")));
    });
    ASSERT_TRUE(told);
    EXPECT_EQ(told->transfer, TransferCurve::Hlg);
}

TEST(OptionsDialog, ShowsACurveAndGoesBackToTheFilesOwn)
{
    MeasureOptions options;
    options.transfer = TransferCurve::Gamma28;
    const auto told = chosen(options, [](OptionsDialog& dialog) {
        QComboBox* curve = curveOf(dialog);
        ASSERT_NE(curve, nullptr);
        EXPECT_EQ(curve->currentText(), QStringLiteral("gamma 2.8"));
        curve->setCurrentIndex(0);
    });
    ASSERT_TRUE(told);
    EXPECT_FALSE(told->transfer);
}

TEST(OptionsDialog, LeavesEverythingAsItWasWhereNothingIsChanged)
{
    MeasureOptions options;
    options.transfer = TransferCurve::Pq;
    options.exposureMs = 1.5;
    options.lineTimeUs = 0.0;
    options.zeroMs = -0.25;
    const auto told = chosen(options, [](OptionsDialog&) {});
    ASSERT_TRUE(told);
    EXPECT_EQ(told->transfer, options.transfer);
    EXPECT_EQ(told->exposureMs, options.exposureMs);
    EXPECT_EQ(told->lineTimeUs, options.lineTimeUs);
    EXPECT_EQ(told->zeroMs, options.zeroMs);
}

TEST(OptionsDialog, StaysOpenWhereANumberIsNotUnderstood)
{
    MeasureOptions options;
    options.exposureMs = 1.5;
    const auto told = chosen(options, [](OptionsDialog& dialog) {
        for (auto* edit : dialog.findChildren<QLineEdit*>()) {
            if (edit->text() == QStringLiteral("1.5")) {
                edit->setText(QStringLiteral("1.5 ms or so"));
            }
        }
    });
    EXPECT_FALSE(told);
}

} // namespace
} // namespace twinlamp::ui

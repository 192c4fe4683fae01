// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/theme/colours.h"

#include <QFile>

#include <gtest/gtest.h>

namespace twinlamp::ui {

namespace {

Colours colours(const char* file)
{
    QFile json(QStringLiteral(":/twinlamp/themes/") + QLatin1String(file));
    EXPECT_TRUE(json.open(QIODevice::ReadOnly)) << file;
    const auto read = Colours::fromJson(json.readAll());
    EXPECT_TRUE(read.has_value()) << file;
    return read.value_or(Colours {});
}

constexpr std::array grounds {ColourRole::Ground, ColourRole::Surface, ColourRole::Raised};

class BothSchemes : public ::testing::TestWithParam<const char*>
{
};

} // namespace

TEST(ContrastRatio, AgreesWithPublishedFigures)
{
    // WCAG's own ends of the scale, and figures of the Okabe-Ito colours computed outside the
    // project (blue and vermillion on white, orange on #1E1E1E).
    EXPECT_NEAR(contrastRatio(Qt::black, Qt::white), 21.0, 1e-9);
    EXPECT_NEAR(contrastRatio(QColor(0x00, 0x72, 0xB2), Qt::white), 5.1854, 5e-5);
    EXPECT_NEAR(contrastRatio(QColor(0xD5, 0x5E, 0x00), Qt::white), 3.8672, 5e-5);
    EXPECT_NEAR(contrastRatio(QColor(0xE6, 0x9F, 0x00), QColor(0x1E, 0x1E, 0x1E)), 7.4019, 5e-5);
}

TEST_P(BothSchemes, TextReachesFourAndAHalfToOne)
{
    const Colours c = colours(GetParam());
    for (const ColourRole ground : grounds) {
        EXPECT_GE(contrastRatio(c[ColourRole::Text], c[ground]), 4.5);
        EXPECT_GE(contrastRatio(c[ColourRole::QuietText], c[ground]), 4.5);
    }
    EXPECT_GE(contrastRatio(c[ColourRole::Text], c[ColourRole::Selection]), 4.5);
    EXPECT_GE(contrastRatio(c[ColourRole::QuietText], c[ColourRole::Selection]), 4.5);
}

TEST_P(BothSchemes, LinesAndMarksReachThreeToOne)
{
    const Colours c = colours(GetParam());
    for (const ColourRole role : {ColourRole::Reference, ColourRole::Goggle, ColourRole::Panel,
             ColourRole::Doubt, ColourRole::StrongLine}) {
        EXPECT_GE(contrastRatio(c[role], c[ColourRole::Ground]), 3.0) << static_cast<int>(role);
        EXPECT_GE(contrastRatio(c[role], c[ColourRole::Surface]), 3.0) << static_cast<int>(role);
    }
    for (const ColourRole role : {ColourRole::Reference, ColourRole::Goggle, ColourRole::Panel}) {
        EXPECT_GE(contrastRatio(c[role], c[ColourRole::FootageGround]), 3.0)
            << static_cast<int>(role);
    }
}

INSTANTIATE_TEST_SUITE_P(
    Themes, BothSchemes, ::testing::Values("light.json", "dark.json"), [](const auto& file) {
        return std::string(file.param).substr(0, std::string(file.param).find('.'));
    });

TEST(Colours, AMissingRoleIsNoTheme)
{
    EXPECT_FALSE(Colours::fromJson(R"({"ground": "#ffffff"})").has_value());
    EXPECT_FALSE(Colours::fromJson("nonsense").has_value());
}

TEST(Colours, FillsNamesThatBeginAlike)
{
    const Colours c = colours("light.json");
    EXPECT_EQ(c.filledIn(QStringLiteral("a: @line; b: @strongLine; c: @lines;")),
        QStringLiteral("a: %1; b: %2; c: @lines;")
            .arg(c[ColourRole::Line].name(), c[ColourRole::StrongLine].name()));
}

TEST(WindowSheet, UsesNoColourThatTheThemesLack)
{
    QFile sheet(QStringLiteral(":/twinlamp/themes/window.qss"));
    ASSERT_TRUE(sheet.open(QIODevice::ReadOnly));
    QString filled = colours("dark.json").filledIn(QString::fromUtf8(sheet.readAll()));
    filled.remove(QStringLiteral("@name is a colour"));
    filled.remove(QStringLiteral("@scheme")); // the theme itself fills that in
    EXPECT_FALSE(filled.contains(QLatin1Char('@')))
        << filled.mid(filled.indexOf(QLatin1Char('@')), 20).toStdString();
}

} // namespace twinlamp::ui

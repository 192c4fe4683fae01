// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/ui/explain/explained_press.h"
#include "ui/explain/explanation_files.h"
#include "ui/explain/explanation_painter.h"
#include "ui/theme/theme.h"

#include <QPainter>
#include <QSvgRenderer>
#include <QXmlStreamReader>

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>

namespace twinlamp::ui {
namespace {

/// All words of an SVG file, in one text; empty where it is no well-formed XML.
QString wordsOf(const QByteArray& svg)
{
    QXmlStreamReader xml(svg);
    QStringList words;
    while (!xml.atEnd()) {
        if (xml.readNext() == QXmlStreamReader::Characters) {
            words << xml.text().toString().simplified();
        }
    }
    return xml.hasError() ? QString() : words.join(QLatin1Char(' '));
}

/// Share of pixels whose grey differs visibly.
double differingShare(const QImage& a, const QImage& b)
{
    constexpr int visible = 60;
    int differing = 0;
    for (int y = 0; y < a.height(); ++y) {
        for (int x = 0; x < a.width(); ++x) {
            differing += std::abs(qGray(a.pixel(x, y)) - qGray(b.pixel(x, y))) > visible ? 1 : 0;
        }
    }
    return static_cast<double>(differing) / (a.width() * a.height());
}

TEST(ExplanationPng, HasTwoDotsAPixelAndTheColoursOfPrint)
{
    const auto made = tests::explainedPress();
    const QImage picture
        = QImage::fromData(explanationPng(made, tests::plainPictures(made, Qt::red)), "PNG");
    EXPECT_EQ(picture.width(), 2 * drawingWidth);
    EXPECT_GT(picture.height(), drawingWidth / 2);
    EXPECT_EQ(picture.pixelColor(2, 2), schemeColours(Scheme::Light)[ColourRole::Ground]);
    int red = 0;
    for (int x = 0; x < picture.width(); ++x) {
        red += picture.pixelColor(x, 2 * 100) == QColor(Qt::red) ? 1 : 0;
    }
    EXPECT_GT(red, picture.width() / 2) << "the strip's pictures are in it, unsmoothed";
}

TEST(ExplanationSvg, SaysEverythingInWords)
{
    const auto made = tests::explainedPress({Flag::ReferenceWeak});
    const QString words = wordsOf(explanationSvg(made, {}));
    ASSERT_FALSE(words.isEmpty());
    for (const char* part :
        {"Press 4 (on): latency 39.70 ± 0.10 ms", "first light of the goggle lamp", "0.040", "64",
            "known", "press to press", "reference lamp weak", "Clip invented.mp4",
            "capture rate 1000 frames/s", "exposure 0.80 ms", "twinlamp"}) {
        EXPECT_TRUE(words.contains(QString::fromUtf8(part))) << part;
    }
    // A flag's remedy is wrapped over lines: its first words stand together.
    EXPECT_TRUE(words.contains(QStringLiteral("Move the lamp closer")));
}

TEST(ExplanationSvg, ShowsTheSameAsThePicture)
{
    const auto made = tests::explainedPress();
    const auto pictures = tests::plainPictures(made, Qt::darkGray);
    const QImage png = explanationPicture(made, pictures);
    QSvgRenderer renderer(explanationSvg(made, pictures));
    ASSERT_TRUE(renderer.isValid());
    QImage svg(png.size(), QImage::Format_RGB32);
    svg.fill(Qt::white);
    QPainter painter(&svg);
    renderer.render(&painter);
    painter.end();
    // Text is hinted differently: a few per cent of the pixels may be off by a glyph's edge.
    EXPECT_LT(differingShare(png, svg), 0.04);
}

TEST(ExplanationPainter, GrowsWithWhatItHasToSay)
{
    const ExplanationInk ink = inkOfFiles();
    const auto calm = tests::explainedPress();
    const auto doubtful = tests::explainedPress({Flag::ReferenceWeak, Flag::GoggleWeak,
        Flag::OnsetInGap, Flag::NotSettled, Flag::LostFrames, Flag::RowSkewInside});
    const ExplanationPictures none;
    EXPECT_GT(ExplanationPainter(doubtful, none, ink).heightFor(1000.0),
        ExplanationPainter(calm, none, ink).heightFor(1000.0));
}

TEST(ExplanationPainter, LinesAndDotsCanBeToldApartInGrey)
{
    // WCAG 2.1 asks 3:1 of marks against what they lie on; grey keeps the luminance.
    const Colours light = inkOfFiles().colours;
    for (const ColourRole role : {ColourRole::Reference, ColourRole::Goggle, ColourRole::Panel}) {
        EXPECT_GE(contrastRatio(light[role], light[ColourRole::Ground]), 3.0);
    }
    EXPECT_GE(contrastRatio(light[ColourRole::Text], light[ColourRole::Goggle]), 3.0);
    EXPECT_GE(contrastRatio(light[ColourRole::Text], light[ColourRole::Reference]), 3.0);
}

} // namespace
} // namespace twinlamp::ui

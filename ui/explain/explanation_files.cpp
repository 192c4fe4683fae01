// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/explain/explanation_files.h"

#include "core/base/contracts.h"
#include "ui/explain/explanation_painter.h"
#include "ui/qt_log.h"
#include "ui/theme/theme.h"

#include <QBuffer>
#include <QGuiApplication>
#include <QPainter>
#include <QSvgGenerator>

#include <array>
#include <cmath>

// Resources of a static library are linked in only where they are named, outside any namespace.
static void initResources() { Q_INIT_RESOURCE(twinlamp); }

namespace twinlamp::ui {

namespace {

constexpr int filePixelSize = 14;
constexpr int dotsPerPixel = 2;

QSize sizeOf(const ExplanationPainter& painter)
{
    return {drawingWidth, static_cast<int>(std::ceil(painter.heightFor(drawingWidth)))};
}

} // namespace

ExplanationInk inkOfFiles()
{
    QFont base(QStringLiteral("DejaVu Sans"));
    base.setPixelSize(filePixelSize);
    return {schemeColours(Scheme::Light), base};
}

QImage explanationPicture(
    const report::PressExplanation& explanation, const ExplanationPictures& pictures)
{
    const ExplanationInk ink = inkOfFiles();
    const ExplanationPainter drawing(explanation, pictures, ink);
    const QSize size = sizeOf(drawing);
    QImage image(size * dotsPerPixel, QImage::Format_RGB32);
    image.setDevicePixelRatio(dotsPerPixel);
    QPainter painter(&image);
    drawing.paint(painter, QRectF(QPointF(0, 0), QSizeF(size)));
    painter.end();
    return image;
}

QByteArray explanationPng(
    const report::PressExplanation& explanation, const ExplanationPictures& pictures)
{
    QByteArray bytes;
    QBuffer buffer(&bytes);
    buffer.open(QIODevice::WriteOnly);
    return explanationPicture(explanation, pictures).save(&buffer, "PNG") ? bytes : QByteArray();
}

QByteArray explanationSvg(
    const report::PressExplanation& explanation, const ExplanationPictures& pictures)
{
    const ExplanationInk ink = inkOfFiles();
    const ExplanationPainter drawing(explanation, pictures, ink);
    const QSize size = sizeOf(drawing);
    QByteArray bytes;
    QBuffer buffer(&bytes);
    buffer.open(QIODevice::WriteOnly);
    QSvgGenerator file;
    file.setOutputDevice(&buffer);
    file.setSize(size);
    file.setViewBox(QRect(QPoint(0, 0), size));
    file.setTitle(textOf(explanation.title));
    file.setDescription(QStringLiteral("Explanation of one press by Twinlamp"));
    QPainter painter(&file);
    drawing.paint(painter, QRectF(QPointF(0, 0), QSizeF(size)));
    painter.end();
    return bytes;
}

QImage imageOf(const footage::RgbPicture& picture)
{
    return QImage(picture.bgrx.data(), picture.widthPx, picture.heightPx,
        static_cast<qsizetype>(picture.widthPx) * 4, QImage::Format_RGB32)
        .copy();
}

Result<std::string> drawWithoutDisplay(const report::PressExplanation& explanation,
    const std::vector<RawLampPicture>& pictures, bool svg)
{
    TL_EXPECTS(QCoreApplication::instance() == nullptr);
    // A desktop's platform and style plugins are not wanted for a file.
    qInstallMessageHandler(logQtMessage);
    qputenv("QT_QPA_PLATFORM", "offscreen");
    int argc = 1;
    std::string name = "twinlamp";
    std::array<char*, 2> argv {name.data(), nullptr};
    const QGuiApplication application(argc, argv.data());
    initResources();
    ExplanationPictures parts;
    for (const RawLampPicture& raw : pictures) {
        parts.parts.push_back({raw.frame, raw.goggle, imageOf(raw.picture)});
    }
    const QByteArray bytes
        = svg ? explanationSvg(explanation, parts) : explanationPng(explanation, parts);
    if (bytes.isEmpty()) {
        return fail(Stage::Report, Cause::Internal,
            "the drawing could not be coded; check that Qt's picture plugins are installed");
    }
    return bytes.toStdString();
}

} // namespace twinlamp::ui

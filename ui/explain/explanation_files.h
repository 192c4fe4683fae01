// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"
#include "core/footage/frame_source.h"
#include "core/report/press_explanation.h"
#include "ui/explain/explanation_ink.h"

#include <QByteArray>
#include <QImage>

#include <string>
#include <vector>

namespace twinlamp::ui {

/// Width of a drawing in a file, logical pixels; a PNG has twice as many dots.
inline constexpr int drawingWidth = 1200;

/// Colours of the light scheme, which files are drawn in: they are printed on white.
[[nodiscard]] ExplanationInk inkOfFiles();
/// The same drawing as in the window, in the colours of files.
[[nodiscard]] QImage explanationPicture(
    const report::PressExplanation& explanation, const ExplanationPictures& pictures);
/// Bytes of a PNG file; empty where Qt cannot write one.
[[nodiscard]] QByteArray explanationPng(
    const report::PressExplanation& explanation, const ExplanationPictures& pictures);
[[nodiscard]] QByteArray explanationSvg(
    const report::PressExplanation& explanation, const ExplanationPictures& pictures);

/// One lamp in one frame, as core/footage gives it.
struct RawLampPicture
{
    std::int64_t frame = 0;
    bool goggle = false;
    footage::RgbPicture picture;
};

/// A copy of the pixels.
[[nodiscard]] QImage imageOf(const footage::RgbPicture& picture);

/// Draws in a program that has no Qt application: starts one on the offscreen platform for as long
/// as it takes. @pre no QCoreApplication exists
/// @error Report/Internal  the picture could not be coded
[[nodiscard]] Result<std::string> drawWithoutDisplay(const report::PressExplanation& explanation,
    const std::vector<RawLampPicture>& pictures, bool svg);

} // namespace twinlamp::ui

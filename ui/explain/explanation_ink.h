// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/sentence.h"
#include "ui/theme/colours.h"

#include <QFont>
#include <QImage>
#include <QString>

#include <cstdint>
#include <vector>

namespace twinlamp::ui {

/// What an explanation is drawn with: the window's colours or those of a file, one font in sizes.
struct ExplanationInk
{
    Colours colours;
    QFont base;

    [[nodiscard]] QFont small() const { return sized(0.85, false); }

    [[nodiscard]] QFont smallStrong() const { return sized(0.85, true); }

    [[nodiscard]] QFont strong() const { return sized(1.0, true); }

    [[nodiscard]] QFont figure() const { return sized(1.45, true); }

private:
    [[nodiscard]] QFont sized(double factor, bool strong) const
    {
        QFont font = base;
        if (font.pixelSize() > 0) {
            font.setPixelSize(qRound(font.pixelSize() * factor));
        } else {
            font.setPointSizeF(font.pointSizeF() * factor);
        }
        font.setWeight(strong ? QFont::DemiBold : QFont::Normal);
        return font;
    }
};

/// Pictures of the film strip, as far as they are there.
struct ExplanationPictures
{
    struct Part
    {
        std::int64_t frame = 0;
        bool goggle = false;
        QImage picture;
    };

    std::vector<Part> parts;
    QString missing; ///< why there are none; empty: they are there or on their way

    /// A null picture where there is none.
    [[nodiscard]] QImage at(std::int64_t frame, bool goggle) const
    {
        for (const Part& part : parts) {
            if (part.frame == frame && part.goggle == goggle) {
                return part.picture;
            }
        }
        return {};
    }
};

[[nodiscard]] inline QString textOf(const Sentence& sentence)
{
    return QString::fromStdString(english(sentence));
}

} // namespace twinlamp::ui

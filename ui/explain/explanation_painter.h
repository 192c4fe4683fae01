// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/report/press_explanation.h"
#include "ui/explain/explanation_ink.h"

#include <QRectF>

class QPainter;

namespace twinlamp::ui {

/// Draws the explanation of one press to anything that can be painted on: the window, a picture, a
/// vector file. Title, film strip, traces with model and residuals, uncertainty beside the doubts
/// in words, and at the foot what all of it rests on. Unit: logical pixels.
class ExplanationPainter
{
public:
    /// The arguments must outlive the painter.
    ExplanationPainter(const report::PressExplanation& explanation,
        const ExplanationPictures& pictures, const ExplanationInk& ink)
        : m_explanation(explanation)
        , m_pictures(pictures)
        , m_ink(ink)
    {
    }

    /// Narrower than this, words run into each other.
    static constexpr double leastWidth = 720.0;

    [[nodiscard]] double heightFor(double width) const;
    void paint(QPainter& painter, QRectF area) const;

private:
    [[nodiscard]] double titleHeight() const;
    [[nodiscard]] double footHeight() const;
    [[nodiscard]] double doubtsHeight(double width) const;
    [[nodiscard]] double lowerHeight(double width) const;
    void paintTitle(QPainter& painter, QRectF place) const;
    void paintDoubts(QPainter& painter, QRectF place) const;
    void paintFoot(QPainter& painter, QRectF place) const;

    const report::PressExplanation& m_explanation;
    const ExplanationPictures& m_pictures;
    const ExplanationInk& m_ink;
};

} // namespace twinlamp::ui

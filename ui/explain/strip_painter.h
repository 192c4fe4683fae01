// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/report/press_explanation.h"
#include "ui/explain/explanation_ink.h"

#include <QRectF>

#include <vector>

class QPainter;

namespace twinlamp::ui {

/// Where a column of the film strip stands.
struct StripColumn
{
    std::size_t frame = 0; ///< index into PressExplanation::strip
    double left = 0.0;
    double side = 0.0; ///< cells are square
    bool afterGap = false; ///< frames are left out before it
    bool operator==(const StripColumn&) const = default;
};

/// Places the columns of a strip over a width; the cells are at most `largest` wide.
[[nodiscard]] std::vector<StripColumn> stripColumns(
    const std::vector<report::StripFrame>& strip, double width, double largest);

/// Both lamps frame by frame: the reference lamp above, the goggle lamp below, each pixel a square.
class StripPainter
{
public:
    StripPainter(const report::PressExplanation& explanation, const ExplanationPictures& pictures,
        const ExplanationInk& ink)
        : m_explanation(explanation)
        , m_pictures(pictures)
        , m_ink(ink)
    {
    }

    [[nodiscard]] double heightFor(double width) const;
    void paint(QPainter& painter, QRectF area) const;

private:
    void paintRowName(QPainter& painter, QRectF place, bool goggle) const;
    void paintCell(
        QPainter& painter, QRectF cell, const report::StripFrame& frame, bool goggle) const;
    void paintLabels(QPainter& painter, QRectF place, const report::StripFrame& frame) const;
    [[nodiscard]] double labelWidth() const;
    [[nodiscard]] double captionHeight() const;

    const report::PressExplanation& m_explanation;
    const ExplanationPictures& m_pictures;
    const ExplanationInk& m_ink;
};

} // namespace twinlamp::ui

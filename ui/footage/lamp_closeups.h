// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"
#include "ui/footage/region_kind.h"
#include "ui/jobs/frame_fetcher.h"

#include <QWidget>

#include <vector>

namespace twinlamp::ui {

/// Frames of one lamp around its mark: from two before to three after.
struct CloseupRow
{
    RegionKind kind = RegionKind::Reference;
    FrameIndex marked; ///< the frame that the mark falls in
    RectPx part; ///< a little more than the lamp's region
};

/// Frames k - 2 … k + 3 that lie in the clip.
[[nodiscard]] std::vector<FrameIndex> closeupFrames(FrameIndex marked, std::int64_t frameCount);
/// The region with air around it, inside the picture, at least a few pixels large.
[[nodiscard]] RectPx closeupPart(RectPx region, QSize picture);

/// Both lamps, small and close, around the onset and around first light: the change to be seen.
class LampCloseups : public QWidget
{
    Q_OBJECT

public:
    explicit LampCloseups(FrameFetcher& fetcher, QWidget* parent = nullptr);

    /// Rows to show; an empty list clears. Pictures follow as they are fetched.
    void setRows(std::vector<CloseupRow> rows, std::int64_t frameCount);
    void setFrame(FrameIndex frame);

    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] int heightForWidth(int width) const override;

Q_SIGNALS:
    void frameAsked(twinlamp::FrameIndex frame);

protected:
    void paintEvent(QPaintEvent* event) override;
    void resizeEvent(QResizeEvent* event) override;
    void mousePressEvent(QMouseEvent* event) override;
    void keyPressEvent(QKeyEvent* event) override;

private:
    struct Cell
    {
        std::size_t row = 0;
        FrameIndex frame;
        QRectF rect;
    };

    [[nodiscard]] std::vector<Cell> cells() const;
    [[nodiscard]] int rowHeight(int width) const;

    FrameFetcher& m_fetcher;
    std::vector<CloseupRow> m_rows;
    std::int64_t m_frameCount = 0;
    FrameIndex m_frame;
    std::vector<std::pair<CropWish, QImage>> m_pictures;
};

} // namespace twinlamp::ui

// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/lamp_closeups.h"

#include "ui/footage/region_painter.h"
#include "ui/theme/theme.h"

#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>

#include <algorithm>

namespace twinlamp::ui {

namespace {

constexpr int framesBefore = 2;
constexpr int framesAfter = 3;
constexpr int framesShown = framesBefore + 1 + framesAfter;
constexpr int gap = 3;
constexpr int smallestPartPx = 8;

int captionHeight() { return QFontMetrics(typeFont(TypeSize::Small)).height() + 2; }

} // namespace

std::vector<FrameIndex> closeupFrames(FrameIndex marked, std::int64_t frameCount)
{
    std::vector<FrameIndex> frames;
    for (std::int64_t k = marked.value - framesBefore; k <= marked.value + framesAfter; ++k) {
        if (k >= 0 && k < frameCount) {
            frames.push_back({k});
        }
    }
    return frames;
}

RectPx closeupPart(RectPx region, QSize picture)
{
    // Square, so that both lamps show at the same shape however their regions are drawn.
    // Even, because chroma is stored for pairs of pixels.
    const int side = std::max({smallestPartPx, region.width * 3 / 2, region.height * 3 / 2}) & ~1;
    const RectPx wanted {(region.x + region.width / 2 - side / 2) & ~1,
        (region.y + region.height / 2 - side / 2) & ~1, side, side};
    return intersection(wanted, {0, 0, picture.width(), picture.height()});
}

LampCloseups::LampCloseups(FrameFetcher& fetcher, QWidget* parent)
    : QWidget(parent)
    , m_fetcher(fetcher)
{
    setFocusPolicy(Qt::StrongFocus);
    setAccessibleName(tr("Close-ups of both lamps around the press"));
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Fixed);
    connect(&fetcher, &FrameFetcher::cropReady, this,
        [this](const CropWish& wish, const QImage& picture) {
            m_pictures.emplace_back(wish, picture);
            update();
        });
}

void LampCloseups::setRows(std::vector<CloseupRow> rows, std::int64_t frameCount)
{
    m_rows = std::move(rows);
    m_frameCount = frameCount;
    std::vector<CropWish> wishes;
    for (const CloseupRow& row : m_rows) {
        for (const FrameIndex frame : closeupFrames(row.marked, frameCount)) {
            if (!row.part.isEmpty()) {
                wishes.push_back({frame, row.part});
            }
        }
    }
    std::erase_if(m_pictures, [&](const auto& picture) {
        return std::ranges::find(wishes, picture.first) == wishes.end();
    });
    std::erase_if(wishes, [&](const CropWish& wish) {
        return std::ranges::any_of(
            m_pictures, [&](const auto& picture) { return picture.first == wish; });
    });
    m_fetcher.crop(std::move(wishes));
    updateGeometry();
    update();
}

void LampCloseups::setFrame(FrameIndex frame)
{
    m_frame = frame;
    update();
}

int LampCloseups::rowHeight(int width) const
{
    return (width - (framesShown - 1) * gap) / framesShown + 2 * captionHeight();
}

QSize LampCloseups::sizeHint() const { return {240, heightForWidth(240)}; }

int LampCloseups::heightForWidth(int width) const { return 2 * rowHeight(width) + 6; }

std::vector<LampCloseups::Cell> LampCloseups::cells() const
{
    std::vector<Cell> cells;
    const double side = (width() - (framesShown - 1) * gap) / static_cast<double>(framesShown);
    for (std::size_t row = 0; row < m_rows.size(); ++row) {
        const double top = static_cast<double>(row) * (rowHeight(width()) + 4) + captionHeight();
        for (const FrameIndex frame : closeupFrames(m_rows[row].marked, m_frameCount)) {
            const auto column
                = static_cast<double>(frame.value - m_rows[row].marked.value + framesBefore);
            cells.push_back({row, frame, QRectF(column * (side + gap), top, side, side)});
        }
    }
    return cells;
}

void LampCloseups::paintEvent(QPaintEvent* /*event*/)
{
    QPainter painter(this);
    painter.setRenderHint(QPainter::Antialiasing);
    if (m_rows.empty()) {
        painter.setFont(typeFont(TypeSize::Small));
        painter.setPen(colours()[ColourRole::QuietText]);
        painter.drawText(rect(), Qt::TextWordWrap,
            tr("Six frames around the onset and around first light of the press in hand appear "
               "here."));
    }
    if (hasFocus()) {
        painter.setPen(QPen(colours()[ColourRole::StrongLine], 1));
        painter.setBrush(Qt::NoBrush);
        painter.drawRect(QRectF(rect()).adjusted(0.5, 0.5, -0.5, -0.5));
    }
    for (std::size_t row = 0; row < m_rows.size(); ++row) {
        const double top = static_cast<double>(row) * (rowHeight(width()) + 4);
        drawMark(painter, m_rows[row].kind, {5, top + captionHeight() / 2.0 - 1}, 7,
            colours()[regionColour(m_rows[row].kind)]);
        painter.setFont(typeFont(TypeSize::Small));
        painter.setPen(colours()[ColourRole::QuietText]);
        painter.drawText(QRectF(14, top, width(), captionHeight()),
            m_rows[row].kind == RegionKind::Reference ? tr("reference lamp, around its onset")
                                                      : tr("goggle lamp, around first light"));
    }
    for (const Cell& cell : cells()) {
        painter.fillRect(cell.rect, colours()[ColourRole::FootageGround]);
        const CropWish wish {cell.frame, m_rows[cell.row].part};
        for (const auto& [shown, picture] : m_pictures) {
            if (shown == wish && !picture.isNull()) {
                QSizeF size(picture.size());
                size.scale(cell.rect.size(), Qt::KeepAspectRatio);
                QRectF place(QPointF(0, 0), size);
                place.moveCenter(cell.rect.center());
                painter.drawImage(place, picture);
            }
        }
        const bool marked = cell.frame == m_rows[cell.row].marked;
        const bool inHand = cell.frame == m_frame;
        if (marked || inHand) {
            painter.setBrush(Qt::NoBrush);
            painter.setPen(QPen(marked ? footageColours()[regionColour(m_rows[cell.row].kind)]
                                       : footageColours()[ColourRole::Text],
                2));
            painter.drawRect(cell.rect.adjusted(1, 1, -1, -1));
        }
        painter.setFont(typeFont(TypeSize::Small, inHand));
        painter.setPen(colours()[inHand ? ColourRole::Text : ColourRole::QuietText]);
        painter.drawText(QRectF(cell.rect.left() - 4, cell.rect.bottom() + 1, cell.rect.width() + 8,
                             captionHeight()),
            Qt::AlignHCenter, QString::number(cell.frame.value));
    }
}

void LampCloseups::resizeEvent(QResizeEvent* /*event*/)
{
    // Square cells: as high as they are wide.
    setFixedHeight(heightForWidth(width()));
}

void LampCloseups::mousePressEvent(QMouseEvent* event)
{
    for (const Cell& cell : cells()) {
        if (cell.rect.contains(event->position())) {
            Q_EMIT frameAsked(cell.frame);
        }
    }
}

void LampCloseups::keyPressEvent(QKeyEvent* event)
{
    if (event->key() == Qt::Key_Left || event->key() == Qt::Key_Right) {
        Q_EMIT frameAsked({m_frame.value + (event->key() == Qt::Key_Left ? -1 : 1)});
    } else {
        QWidget::keyPressEvent(event);
    }
}

} // namespace twinlamp::ui

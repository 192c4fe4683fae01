// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/blob.h"

#include <algorithm>

namespace twinlamp::measure {

namespace {

struct Interval
{
    int first = 0;
    int last = 0; ///< not part of it
};

Interval solidInterval(const std::vector<int>& counts, double share)
{
    const int fullest = *std::ranges::max_element(counts);
    Interval interval {0, static_cast<int>(counts.size())};
    while (interval.first < interval.last
        && counts[static_cast<std::size_t>(interval.first)] < share * fullest) {
        ++interval.first;
    }
    while (interval.last > interval.first
        && counts[static_cast<std::size_t>(interval.last - 1)] < share * fullest) {
        --interval.last;
    }
    return interval;
}

} // namespace

Blob blobAround(std::span<const float> values, int columns, std::size_t seed, float threshold)
{
    Blob blob;
    if (values[seed] < threshold) {
        return blob;
    }
    const int rows = static_cast<int>(values.size()) / columns;
    std::vector<bool> isSeen(values.size(), false);
    std::vector<std::size_t> open {seed};
    isSeen[seed] = true;
    int left = columns, top = rows, right = -1, bottom = -1;
    while (!open.empty()) {
        const std::size_t cell = open.back();
        open.pop_back();
        blob.cells.push_back(cell);
        const int x = static_cast<int>(cell) % columns;
        const int y = static_cast<int>(cell) / columns;
        left = std::min(left, x);
        right = std::max(right, x);
        top = std::min(top, y);
        bottom = std::max(bottom, y);
        const auto visit = [&](int nx, int ny) {
            if (nx < 0 || ny < 0 || nx >= columns || ny >= rows) {
                return;
            }
            const auto neighbour = static_cast<std::size_t>(ny * columns + nx);
            if (!isSeen[neighbour] && values[neighbour] >= threshold) {
                isSeen[neighbour] = true;
                open.push_back(neighbour);
            }
        };
        visit(x - 1, y);
        visit(x + 1, y);
        visit(x, y - 1);
        visit(x, y + 1);
    }
    blob.box = {left, top, right - left + 1, bottom - top + 1};
    return blob;
}

RectPx solidBox(const Blob& blob, int columns, double share)
{
    if (blob.cells.empty()) {
        return {};
    }
    std::vector<int> perColumn(static_cast<std::size_t>(blob.box.width), 0);
    std::vector<int> perRow(static_cast<std::size_t>(blob.box.height), 0);
    for (const std::size_t cell : blob.cells) {
        ++perColumn[static_cast<std::size_t>(static_cast<int>(cell) % columns - blob.box.x)];
        ++perRow[static_cast<std::size_t>(static_cast<int>(cell) / columns - blob.box.y)];
    }
    const Interval across = solidInterval(perColumn, share);
    const Interval down = solidInterval(perRow, share);
    return {blob.box.x + across.first, blob.box.y + down.first, across.last - across.first,
        down.last - down.first};
}

} // namespace twinlamp::measure

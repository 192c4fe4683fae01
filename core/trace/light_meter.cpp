// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/light_meter.h"

#include "core/base/contracts.h"
#include "core/trace/luma_table.h"
#include "core/trace/transfer.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <limits>

namespace twinlamp::trace {

using footage::PictureView;
using footage::PlaneLayout;

namespace {

// Grid of the channel table: fine enough that rounding to it (1.3e-4 of full scale) hides under
// 8-bit coding.
constexpr int channelTableSize = 16384;
constexpr double channelTableLow = -0.5;
constexpr double channelTableHigh = 1.5;
constexpr double channelTableScale = (channelTableSize - 1) / (channelTableHigh - channelTableLow);
constexpr float clipLow = 0.005F;

struct CellSums
{
    double light = 0.0;
    std::int64_t pixels = 0;
};

/// A cell that lies between pixels: sums weighted by the covered share of each pixel.
struct CoveredSums
{
    double light = 0.0;
    double pixels = 0.0;
    ClipShare clip;

    void add(const CellSums& sums, const ClipShare& share, double weight)
    {
        light += weight * sums.light;
        pixels += weight * static_cast<double>(sums.pixels);
        clip.low += static_cast<float>(weight) * share.low;
        clip.high += static_cast<float>(weight) * share.high;
    }
};

/// Pixels [first, last) that a stretch of one axis touches, and how much of those at its ends.
struct Stretch
{
    int first = 0;
    int last = 0;
    double from = 0.0;
    double to = 0.0;

    Stretch(double begin, double end, int limit)
        : from(std::clamp(begin, 0.0, static_cast<double>(limit)))
        , to(std::clamp(end, 0.0, static_cast<double>(limit)))
    {
        first = static_cast<int>(std::floor(from));
        last = static_cast<int>(std::ceil(to));
    }

    [[nodiscard]] double covered(int at) const
    {
        return std::max(0.0, std::min(to, at + 1.0) - std::max(from, static_cast<double>(at)));
    }
};

int cellEdge(int origin, int size, int cells, int index)
{
    return origin + static_cast<int>(std::int64_t {size} * index / cells);
}

template<typename Sample> const Sample* rowOf(const footage::PlaneView& plane, int y)
{
    return reinterpret_cast<const Sample*>(plane.data + std::ptrdiff_t {y} * plane.strideBytes);
}

} // namespace

RectPx cellOf(const MeterRegion& region, int column, int row)
{
    if (region.corners) {
        return cellBetweenCorners(*region.corners, region.columns, region.rows, column, row);
    }
    const RectPx& all = region.stored;
    const int left = cellEdge(all.x, all.width, region.columns, column);
    const int top = cellEdge(all.y, all.height, region.rows, row);
    return {left, top, cellEdge(all.x, all.width, region.columns, column + 1) - left,
        cellEdge(all.y, all.height, region.rows, row + 1) - top};
}

struct LightMeter::Tables
{
    PlaneLayout layout = PlaneLayout::Yuv;
    int bitDepth = 8;
    int chromaShiftX = 0;
    int chromaShiftY = 0;
    footage::ColourDescription colour;
    int widthPx = 0;
    int heightPx = 0;

    std::vector<float> lumaLight; ///< light of a grey pixel by luma code
    std::vector<float> lumaCode; ///< normalised luma by code
    std::array<std::vector<float>, 3> channelLight; ///< weighted light of R, G, B by table index
    std::vector<float> chromaCode; ///< normalised colour difference by code, -0.5 to 0.5
    float redFromCr = 0.0F;
    float greenFromCb = 0.0F;
    float greenFromCr = 0.0F;
    float blueFromCb = 0.0F;
    int greyBoundCodes = 4;
    int chromaZero = 128;

    explicit Tables(const PictureView& picture);
    [[nodiscard]] bool fits(const PictureView& picture) const;

    [[nodiscard]] float channel(int which, float v) const
    {
        const float at
            = (v - static_cast<float>(channelTableLow)) * static_cast<float>(channelTableScale);
        // A hot loop: below 0 the clamp mends what truncating gets wrong.
        const int index
            = std::clamp(static_cast<int>(at + 0.5F), // NOLINT(bugprone-incorrect-roundings)
                0, channelTableSize - 1);
        return channelLight[static_cast<std::size_t>(which)][static_cast<std::size_t>(index)];
    }

    template<typename Sample>
    void addGreyRow(const Sample* luma, int from, int to, int step, CellSums& sums) const;
    template<typename Sample>
    void addColourRow(
        const PictureView& picture, int y, int from, int to, CellSums& sums, ClipShare* clip) const;
    template<typename Sample>
    void addGbrRow(const PictureView& picture, int y, int from, int to, int step, CellSums& sums,
        ClipShare* clip) const;
    template<typename Sample>
    void readRegion(
        const PictureView& picture, const MeterRegion& region, float* out, ClipShare* clip) const;
    template<typename Sample>
    CellSums readCell(const PictureView& picture, RectPx cell, int samples, ClipShare* clip) const;
    template<typename Sample>
    void readRegionAt(const PictureView& picture, const MeterRegion& region, ShiftPx shift,
        float* out, ClipShare* clip) const;
    template<typename Sample>
    [[nodiscard]] CoveredSums readCellAt(
        const PictureView& picture, RectPx cell, ShiftPx shift, bool lumaAlone) const;
    template<typename Sample>
    [[nodiscard]] double lightAt(const PictureView& picture, int x, int y) const;

private:
    void makeColourTables();
};

LightMeter::Tables::Tables(const PictureView& picture)
    : layout(picture.layout)
    , bitDepth(picture.bitDepth)
    , chromaShiftX(picture.chromaShiftX)
    , chromaShiftY(picture.chromaShiftY)
    , colour(picture.colour)
    , widthPx(picture.widthPx())
    , heightPx(picture.heightPx())
{
    LumaTable luma = lumaTable(picture);
    lumaLight = std::move(luma.light);
    lumaCode = std::move(luma.code);
    makeColourTables();
}

void LightMeter::Tables::makeColourTables()
{
    const std::array<double, 3> weights = luminanceWeights(colour.primaries);
    for (std::size_t channelIndex = 0; channelIndex < 3; ++channelIndex) {
        auto& table = channelLight[channelIndex];
        table.resize(channelTableSize);
        for (int i = 0; i < channelTableSize; ++i) {
            const double v = channelTableLow + i / channelTableScale;
            table[static_cast<std::size_t>(i)]
                = static_cast<float>(weights[channelIndex] * linearLight(colour.transfer, v));
        }
    }
    const int codes = 1 << bitDepth;
    const double unit = std::ldexp(1.0, bitDepth - 8);
    const double span = colour.fullRange ? codes - 1.0 : 224.0 * unit;
    chromaZero = codes / 2;
    chromaCode.resize(static_cast<std::size_t>(codes));
    for (int code = 0; code < codes; ++code) {
        chromaCode[static_cast<std::size_t>(code)] = static_cast<float>((code - chromaZero) / span);
    }
    const LumaWeights luma = matrixWeights(colour.matrix);
    redFromCr = static_cast<float>(2.0 * (1.0 - luma.kr));
    blueFromCb = static_cast<float>(2.0 * (1.0 - luma.kb));
    greenFromCb = static_cast<float>(2.0 * luma.kb * (1.0 - luma.kb) / luma.kg());
    greenFromCr = static_cast<float>(2.0 * luma.kr * (1.0 - luma.kr) / luma.kg());
    // With other weights than luminance's the error of the grey short cut is of first order: allow
    // less.
    const bool sameWeights = std::abs(luma.kr - weights[0]) < 0.01;
    greyBoundCodes = (sameWeights ? 4 : 1) * (1 << (bitDepth - 8));
}

bool LightMeter::Tables::fits(const PictureView& picture) const
{
    return picture.layout == layout && picture.bitDepth == bitDepth && picture.colour == colour
        && picture.chromaShiftX == chromaShiftX && picture.chromaShiftY == chromaShiftY
        && picture.widthPx() == widthPx && picture.heightPx() == heightPx;
}

template<typename Sample>
void LightMeter::Tables::addGreyRow(
    const Sample* luma, int from, int to, int step, CellSums& sums) const
{
    float sum = 0.0F;
    std::int64_t pixels = 0;
    const std::size_t mask = lumaLight.size() - 1;
    for (int x = from; x < to; x += step) {
        sum += lumaLight[luma[x] & mask];
        ++pixels;
    }
    sums.light += static_cast<double>(sum);
    sums.pixels += pixels;
}

template<typename Sample>
void LightMeter::Tables::addColourRow(
    const PictureView& picture, int y, int from, int to, CellSums& sums, ClipShare* clip) const
{
    const auto* luma = rowOf<Sample>(picture.planes[0], y);
    const auto* cbRow = rowOf<Sample>(picture.planes[1], y >> chromaShiftY);
    const auto* crRow = rowOf<Sample>(picture.planes[2], y >> chromaShiftY);
    const std::size_t mask = lumaLight.size() - 1;
    float sum = 0.0F;
    float low = 0.0F;
    float high = 0.0F;
    for (int x = from; x < to; ++x) {
        const float v = lumaCode[luma[x] & mask];
        const int cb = cbRow[x >> chromaShiftX];
        const int cr = crRow[x >> chromaShiftX];
        float strongest = v;
        if (std::abs(cb - chromaZero) <= greyBoundCodes
            && std::abs(cr - chromaZero) <= greyBoundCodes) {
            sum += lumaLight[luma[x] & mask];
        } else {
            const float blueDifference = chromaCode[static_cast<std::size_t>(cb) & mask];
            const float redDifference = chromaCode[static_cast<std::size_t>(cr) & mask];
            const float red = v + redFromCr * redDifference;
            const float green = v - greenFromCb * blueDifference - greenFromCr * redDifference;
            const float blue = v + blueFromCb * blueDifference;
            sum += channel(0, red) + channel(1, green) + channel(2, blue);
            strongest = std::max({red, green, blue});
        }
        low += v <= clipLow ? 1.0F : 0.0F;
        high += isClippedCode(strongest) ? 1.0F : 0.0F;
    }
    sums.light += static_cast<double>(sum);
    sums.pixels += to - from;
    if (clip != nullptr) {
        clip->low += low;
        clip->high += high;
    }
}

template<typename Sample>
void LightMeter::Tables::addGbrRow(const PictureView& picture, int y, int from, int to, int step,
    CellSums& sums, ClipShare* clip) const
{
    const auto* green = rowOf<Sample>(picture.planes[0], y);
    const auto* blue = rowOf<Sample>(picture.planes[1], y);
    const auto* red = rowOf<Sample>(picture.planes[2], y);
    const std::size_t mask = lumaCode.size() - 1;
    float sum = 0.0F;
    for (int x = from; x < to; x += step) {
        const float r = lumaCode[red[x] & mask];
        const float g = lumaCode[green[x] & mask];
        const float b = lumaCode[blue[x] & mask];
        sum += channel(0, r) + channel(1, g) + channel(2, b);
        if (clip != nullptr) {
            clip->low += std::max({r, g, b}) <= clipLow ? 1.0F : 0.0F;
            clip->high += isClippedCode(std::max({r, g, b})) ? 1.0F : 0.0F;
        }
        ++sums.pixels;
    }
    sums.light += static_cast<double>(sum);
}

template<typename Sample>
CellSums LightMeter::Tables::readCell(
    const PictureView& picture, RectPx cell, int samples, ClipShare* clip) const
{
    int stepX = 1;
    int stepY = 1;
    if (samples > 0) {
        const double tooMany = static_cast<double>(cell.areaPx()) / samples;
        // Rows are skipped before pixels: a row's samples share cache lines.
        stepY = std::clamp(
            static_cast<int>(std::sqrt(tooMany) * 1.5), 1, std::max(1, cell.height / 4));
        stepX = std::clamp(static_cast<int>(tooMany / stepY), 1, std::max(1, cell.width / 4));
    }
    CellSums sums;
    for (int y = cell.y + stepY / 2; y < cell.bottom(); y += stepY) {
        if (layout == PlaneLayout::Gbr) {
            addGbrRow<Sample>(picture, y, cell.x, cell.right(), stepX, sums, clip);
        } else if (samples > 0 || layout == PlaneLayout::Grey) {
            addGreyRow<Sample>(
                rowOf<Sample>(picture.planes[0], y), cell.x + stepX / 2, cell.right(), stepX, sums);
        } else {
            addColourRow<Sample>(picture, y, cell.x, cell.right(), sums, clip);
        }
    }
    return sums;
}

template<typename Sample>
void LightMeter::Tables::readRegion(
    const PictureView& picture, const MeterRegion& region, float* out, ClipShare* clip) const
{
    ClipShare total;
    std::int64_t pixels = 0;
    for (int row = 0; row < region.rows; ++row) {
        for (int column = 0; column < region.columns; ++column) {
            const CellSums sums = readCell<Sample>(
                picture, cellOf(region, column, row), region.samplesPerCell, &total);
            *out++ = sums.pixels > 0
                ? static_cast<float>(sums.light / static_cast<double>(sums.pixels))
                : 0.0F;
            pixels += sums.pixels;
        }
    }
    if (clip != nullptr && pixels > 0) {
        *clip = {total.low / static_cast<float>(pixels), total.high / static_cast<float>(pixels)};
    }
}

template<typename Sample>
CoveredSums LightMeter::Tables::readCellAt(
    const PictureView& picture, RectPx cell, ShiftPx shift, bool lumaAlone) const
{
    const Stretch columns(cell.x + shift.x, cell.right() + shift.x, widthPx);
    const Stretch rows(cell.y + shift.y, cell.bottom() + shift.y, heightPx);
    CoveredSums sums;
    const auto add = [&](int y, int from, int to, double weight) {
        if (from >= to || weight <= 0.0) {
            return;
        }
        CellSums part;
        ClipShare clip;
        if (layout == PlaneLayout::Gbr) {
            addGbrRow<Sample>(picture, y, from, to, 1, part, &clip);
        } else if (lumaAlone || layout == PlaneLayout::Grey) {
            addGreyRow<Sample>(rowOf<Sample>(picture.planes[0], y), from, to, 1, part);
        } else {
            addColourRow<Sample>(picture, y, from, to, part, &clip);
        }
        sums.add(part, clip, weight);
    };
    for (int y = rows.first; y < rows.last; ++y) {
        const double weight = rows.covered(y);
        add(y, columns.first, std::min(columns.first + 1, columns.last),
            weight * columns.covered(columns.first));
        add(y, columns.first + 1, columns.last - 1, weight);
        if (columns.last > columns.first + 1) {
            add(y, columns.last - 1, columns.last, weight * columns.covered(columns.last - 1));
        }
    }
    return sums;
}

template<typename Sample>
void LightMeter::Tables::readRegionAt(const PictureView& picture, const MeterRegion& region,
    ShiftPx shift, float* out, ClipShare* clip) const
{
    CoveredSums total;
    for (int row = 0; row < region.rows; ++row) {
        for (int column = 0; column < region.columns; ++column) {
            const CoveredSums sums = readCellAt<Sample>(
                picture, cellOf(region, column, row), shift, region.samplesPerCell > 0);
            *out++ = sums.pixels > 0.0 ? static_cast<float>(sums.light / sums.pixels)
                                       : std::numeric_limits<float>::quiet_NaN();
            total.pixels += sums.pixels;
            total.clip.low += sums.clip.low;
            total.clip.high += sums.clip.high;
        }
    }
    if (clip != nullptr && total.pixels > 0.0) {
        const auto pixels = static_cast<float>(total.pixels);
        *clip = {total.clip.low / pixels, total.clip.high / pixels};
    }
}

template<typename Sample>
double LightMeter::Tables::lightAt(const PictureView& picture, int x, int y) const
{
    CellSums sums;
    if (layout == PlaneLayout::Gbr) {
        addGbrRow<Sample>(picture, y, x, x + 1, 1, sums, nullptr);
    } else {
        addGreyRow<Sample>(rowOf<Sample>(picture.planes[0], y), x, x + 1, 1, sums);
    }
    return sums.light;
}

LightMeter::LightMeter(const PictureView& likeThis, std::vector<MeterRegion> regions)
    : m_regions(std::move(regions))
    , m_tables(std::make_unique<const Tables>(likeThis))
{
    const RectPx picture {0, 0, likeThis.widthPx(), likeThis.heightPx()};
    for (const MeterRegion& region : m_regions) {
        TL_EXPECTS(
            !region.stored.isEmpty() && intersection(region.stored, picture) == region.stored);
        TL_EXPECTS(region.columns >= 1 && region.rows >= 1);
        if (region.corners) {
            TL_EXPECTS(boundingRect(*region.corners) == region.stored);
            m_grids.emplace_back(
                *region.corners, region.columns, region.rows, region.samplesPerCell);
        }
        m_valueCount
            += static_cast<std::size_t>(region.columns) * static_cast<std::size_t>(region.rows);
    }
}

LightMeter::~LightMeter() = default;
LightMeter::LightMeter(LightMeter&&) noexcept = default;
LightMeter& LightMeter::operator=(LightMeter&&) noexcept = default;

template<typename Sample, typename ReadRegion>
bool LightMeter::readAll(const PictureView& picture, ShiftPx shift, std::span<float> light,
    std::span<ClipShare> clip, const ReadRegion& readRegion) const
{
    TL_EXPECTS(light.size() == m_valueCount && (clip.empty() || clip.size() == m_regions.size()));
    if (!m_tables->fits(picture)) {
        return false;
    }
    const RectPx all {0, 0, picture.widthPx(), picture.heightPx()};
    const auto lightAt = [&](int x, int y) { return m_tables->lightAt<Sample>(picture, x, y); };
    float* out = light.data();
    auto grid = m_grids.begin();
    for (std::size_t i = 0; i < m_regions.size(); ++i) {
        const auto cells = static_cast<std::size_t>(m_regions[i].columns)
            * static_cast<std::size_t>(m_regions[i].rows);
        if (m_regions[i].corners) {
            (grid++)->read(all, shift, lightAt, {out, cells});
        } else {
            readRegion(Sample {}, m_regions[i], out, clip.empty() ? nullptr : &clip[i]);
        }
        out += cells;
    }
    return true;
}

bool LightMeter::read(
    const PictureView& picture, std::span<float> light, std::span<ClipShare> clip) const
{
    const auto read = [&](auto sample, const MeterRegion& region, float* out, ClipShare* share) {
        m_tables->readRegion<decltype(sample)>(picture, region, out, share);
    };
    return m_tables->bitDepth == 8 ? readAll<std::uint8_t>(picture, {}, light, clip, read)
                                   : readAll<std::uint16_t>(picture, {}, light, clip, read);
}

bool LightMeter::read(const PictureView& picture, ShiftPx shift, std::span<float> light,
    std::span<ClipShare> clip) const
{
    const auto read = [&](auto sample, const MeterRegion& region, float* out, ClipShare* share) {
        m_tables->readRegionAt<decltype(sample)>(picture, region, shift, out, share);
    };
    return m_tables->bitDepth == 8 ? readAll<std::uint8_t>(picture, shift, light, clip, read)
                                   : readAll<std::uint16_t>(picture, shift, light, clip, read);
}

} // namespace twinlamp::trace

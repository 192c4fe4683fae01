// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/region_reader.h"

#include <algorithm>
#include <array>
#include <limits>

namespace twinlamp::measure {

using footage::PictureView;
using trace::ClipShare;
using trace::LightMeter;
using trace::MeterRegion;

namespace {

// A cell's mean over this many pixels has noise far below a panel's step.
constexpr int panelSamplesPerCell = 250;
constexpr int roomSamplesPerCell = 100;
constexpr float missingLight = std::numeric_limits<float>::quiet_NaN();
constexpr double missingShift = std::numeric_limits<double>::quiet_NaN();

std::vector<double> shares(const MeterRegion& region)
{
    std::vector<double> shares;
    for (int row = 0; row < region.rows; ++row) {
        for (int column = 0; column < region.columns; ++column) {
            shares.push_back(static_cast<double>(trace::cellOf(region, column, row).areaPx())
                / static_cast<double>(region.stored.areaPx()));
        }
    }
    return shares;
}

} // namespace

RegionReader::RegionReader(const RegionRequest& request, RectPx picture, std::int64_t frameCount,
    int workers, ScanProgress progress)
    : m_progress(std::move(progress))
    , m_frameCount(frameCount)
    , m_follow(request.follow)
    , m_transfer(request.transfer)
    , m_isDone(static_cast<std::size_t>(frameCount))
    , m_scratch(static_cast<std::size_t>(workers))
    , m_keepMap(request.keepMap && !request.follow)
{
    if (request.reference) {
        addRegion({*request.reference, 1, request.referenceRows, 0},
            {&m_light.reference, &m_light.referenceHigh,
                request.referenceRows > 1 ? &m_light.referenceLines : nullptr, {}});
    }
    if (request.goggle) {
        addRegion({*request.goggle, request.goggleColumns, request.goggleRows, 0},
            {&m_light.goggle, &m_light.goggleHigh, &m_light.goggleCells, {}});
    }
    if (request.panel) {
        addRegion({*request.panel, request.panelColumns, request.panelRows, panelSamplesPerCell,
                      request.panelCorners},
            {nullptr, nullptr, &m_light.panelCells, {}});
    }
    if (request.room) {
        addRegion({picture, request.roomColumns, request.roomRows, roomSamplesPerCell},
            {nullptr, nullptr, &m_light.roomCells, {}});
    }
    const auto frames = static_cast<std::size_t>(frameCount);
    if (m_follow) {
        m_light.shift.assign(frames, {missingShift, missingShift});
    }
    for (const Target& target : m_targets) {
        if (target.light != nullptr) {
            target.light->assign(frames, missingLight);
            target.high->assign(frames, 0.0F);
        }
        if (target.cells != nullptr) {
            target.cells->assign(frames * target.cellShare.size(), missingLight);
        }
    }
}

void RegionReader::addRegion(const MeterRegion& region, Target target)
{
    target.cellShare = shares(region);
    m_regions.push_back(region);
    m_targets.push_back(std::move(target));
}

void RegionReader::visit(FrameIndex frame, PictureView picture, int worker)
{
    if (m_transfer) {
        picture.colour.transfer = static_cast<int>(*m_transfer);
    }
    std::call_once(m_made, [&] { makeMeters(picture); });
    auto& scratch = m_scratch[static_cast<std::size_t>(worker)];
    scratch.resize(m_meter->valueCount());
    std::array<ClipShare, 4> clip {};
    const auto k = static_cast<std::size_t>(frame.value);
    if (read(k, picture, scratch, std::span(clip).first(m_regions.size()))) {
        std::span<const float> values(scratch);
        for (std::size_t i = 0; i < m_targets.size(); ++i) {
            const std::size_t cells = m_targets[i].cellShare.size();
            m_targets[i].write(k, values.first(cells), clip[i].high);
            values = values.subspan(cells);
        }
    }
    if (m_mapper) {
        m_mapper->add(frame, picture);
    }
    m_isDone[k].store(true, std::memory_order_release);
    tellProgress();
}

void RegionReader::makeMeters(const PictureView& likeThis)
{
    m_meter = std::make_unique<LightMeter>(likeThis, m_regions);
    if (m_keepMap && trace::LightMapper::canMap(likeThis)
        && trace::mapBytes(likeThis.widthPx(), likeThis.heightPx(), m_frameCount) <= mostMapBytes) {
        m_mapper = std::make_shared<trace::LightMapper>(likeThis, m_frameCount);
    }
}

std::shared_ptr<const trace::LightMap> RegionReader::map() const
{
    if (!m_mapper || !m_mapper->map().isComplete()) {
        return nullptr;
    }
    return {m_mapper, &m_mapper->map()};
}

void RegionReader::Target::write(
    std::size_t frame, std::span<const float> values, float highShare) const
{
    if (light != nullptr) {
        double mean = 0.0;
        for (std::size_t cell = 0; cell < values.size(); ++cell) {
            mean += cellShare[cell] * static_cast<double>(values[cell]);
        }
        (*light)[frame] = static_cast<float>(mean);
        (*high)[frame] = highShare;
    }
    if (cells != nullptr) {
        std::ranges::copy(
            values, cells->begin() + static_cast<std::ptrdiff_t>(frame * values.size()));
    }
}

bool RegionReader::read(std::size_t frame, const PictureView& picture, std::span<float> light,
    std::span<ClipShare> clip)
{
    if (!m_follow) {
        return m_meter->read(picture, light, clip);
    }
    const auto found = m_follow->find(picture);
    if (!found) {
        return false;
    }
    m_light.shift[frame] = found->shift;
    return m_meter->read(picture, found->shift, light, clip);
}

void RegionReader::pass(FrameRange frames)
{
    for (std::int64_t k = frames.first.value; k < frames.last.value; ++k) {
        m_isDone[static_cast<std::size_t>(k)].store(true, std::memory_order_release);
    }
    tellProgress();
}

void RegionReader::endProgress()
{
    const std::scoped_lock lock(m_telling);
    m_progress = {};
}

void RegionReader::tellProgress()
{
    if (!m_progress) {
        return;
    }
    // Whoever comes by while another one tells goes on decoding.
    const std::unique_lock lock(m_telling, std::try_to_lock);
    const auto now = std::chrono::steady_clock::now();
    if (!lock.owns_lock() || now < m_nextTelling) {
        return;
    }
    while (m_complete < m_frameCount
        && m_isDone[static_cast<std::size_t>(m_complete)].load(std::memory_order_acquire)) {
        ++m_complete;
    }
    m_progress(m_light, m_complete);
    // Telling may cost at most a fifth of one thread's time.
    constexpr auto leastPause = std::chrono::milliseconds(100);
    const auto after = std::chrono::steady_clock::now();
    m_nextTelling
        = after + std::max<std::chrono::steady_clock::duration>(leastPause, 4 * (after - now));
}

} // namespace twinlamp::measure
